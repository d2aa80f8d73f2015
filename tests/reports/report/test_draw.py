"""The report of a record, read back from its PDF: every text of the content, page by page, and the record."""

import json
import re
import subprocess
from collections.abc import Iterator
from io import BytesIO

import jsonschema
import pikepdf
import pytest

from inspections.enums import InspectionKind
from reports.content import canonical_json, schema
from reports.pdf.page import PORTRAIT, Frame, space
from reports.report.attach import NAME
from reports.report.blocks import across
from reports.report.draw import draw_report
from reports.schedules import details_sheets, results_sheets
from tests.reports.pdf.reading_back import all_text, missing_cells, opened, page_texts, squeezed
from tests.reports.report.contents import photos, record

KINDS = list(InspectionKind)
# Not printed: keys, hashes and workings that only a program reads.
_NOT_PRINTED = {"schema", "key", "sha256", "made_from", "working", "figures", "reference", "code", "column"}


@pytest.fixture(scope="module")
def house() -> bytes:
    return draw_report(record(), photos())


@pytest.fixture(scope="module")
def large() -> bytes:
    return draw_report(record(circuits=200, boards=12), photos())


def attached(pdf: bytes) -> bytes:
    with pikepdf.open(BytesIO(pdf)) as book:
        return book.attachments[NAME].get_file().read_bytes()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("issued", [True, False])
def test_contents_of_these_tests_are_those_of_the_published_schema(kind, issued):
    jsonschema.validate(record(kind=kind, issued=issued), schema())


def test_house_of_twelve_circuits_takes_six_to_ten_pages(house):
    assert 6 <= len(page_texts(house)) <= 10


@pytest.mark.parametrize("kind", KINDS)
def test_same_content_gives_the_same_bytes(kind):
    first = draw_report(record(kind=kind), photos())
    assert draw_report(json.loads(canonical_json(record(kind=kind))), photos()) == first


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("issued", [True, False])
def test_record_is_attached_as_it_is(kind, issued):
    content = record(kind=kind, issued=issued)
    assert attached(draw_report(content)) == canonical_json(content)


def texts_of(content, *path: str) -> Iterator[str]:
    if isinstance(content, dict):
        for key, value in content.items():
            if key not in _NOT_PRINTED:
                yield from texts_of(value, *path, key)
    elif isinstance(content, list):
        for value in content:
            yield from texts_of(value, *path)
    elif isinstance(content, str):
        yield content


@pytest.mark.parametrize(
    "part", ["firm", "client", "observations", "limitations", "visual", "cautions", "instruments"]
)
def test_every_text_of_a_part_is_printed(house, part):
    printed = all_text(house)
    texts = [text for text in texts_of(record()[part]) if text and not re.fullmatch(r"\d{4}-\d\d-\d\d", text)]
    assert texts
    # Choices stand as headings of groups and in sentences of their own, which other tests read.
    absent = {text for text in texts if squeezed(text.replace("\n", ", ")) not in printed}
    assert absent <= {
        "photo.jpg", "ir_live_live", "zs", "Some circuits", "Kept", "Lifted", "—", "Agreed", "Operational",
        "C1 danger present", "C2 potentially dangerous", "FI further investigation required",
        "C3 improvement recommended",
    }  # fmt: skip


def test_days_are_written_out(house):
    printed = "\n".join(page_texts(house))
    for day in (
        "3 to 4 Nov 2026",
        "5 Nov 2026",
        "28 Oct 2021",
        "20 Oct 2026",
        "31 Mar 2027",
    ):
        assert day in printed


def test_first_page_tells_the_client_outcome_urgency_and_what_to_do(house):
    first = page_texts(house)[0]
    for said in (
        "Condition report",
        "Unsatisfactory",
        "1 × C2",
        "1 × FI",
        "2 × C3",
        "0 × C1",
        "No. 41",
        "Agnès Wołek",
    ):
        assert said in first
    for step in ("observation 2 put right", "observation 3 looked into", "observations 4 and 5 improved"):
        assert step in first
    assert "3 Nov 2031" in first


def test_observations_stand_by_urgency_with_place_and_photo(house):
    with opened(house) as book:
        page = next(page for page in book.pages if "Danger present. Someone" in page.extract_text())
        text = page.extract_text()
        positions = [
            text.index(code) for code in ("C1 Danger", "C2 Potentially", "FI To be", "C3 Improvement")
        ]
        assert positions == sorted(positions)
        assert "DB1/11, Garage, by the door" in text
        assert [round(image["width"] / image["height"], 2) for image in page.images] == [1.33, 0.75]


def test_standing_limitation_says_for_how_long(house):
    printed = "\n".join(page_texts(house))
    assert "Standing since 12 Oct 2016, over 3 visits." in printed
    assert "Agreed with Agnès Wołek, 20 Oct 2026, by e-mail. For this visit." in printed
    assert "Lifted at this visit: Zs – DB1/11" in printed


def test_schedules_hold_every_cell_of_every_circuit(large):
    content = record(circuits=200, boards=12)
    with opened(large) as book:
        texts = [squeezed(page.extract_text()) for page in book.pages]
        for sheet in (*details_sheets(content), *results_sheets(content)):
            pages = [
                page for page, text in zip(book.pages, texts, strict=True) if squeezed(sheet.title) in text
            ]
            assert missing_cells(pages, sheet) == []


def test_schedule_pages_lie_and_the_others_stand(house):
    with opened(house) as book:
        lying = [
            "circuit details" in page.extract_text() or "test results" in page.extract_text()
            for page in book.pages
        ]
        assert [page.width > page.height for page in book.pages] == lying
        assert any(lying)


def test_every_page_is_counted_named_and_within_its_margins(large):
    with opened(large) as book:
        for number, page in enumerate(book.pages, start=1):
            text = page.extract_text()
            assert f"Page {number} of {len(book.pages)}" in text
            assert number == 1 or "No. 41 · 3 Weir Cottages · 3 to 4 Nov 2026" in text
            for char in page.chars:
                if char["text"] == " ":
                    continue  # one stands behind each text, to keep it apart from the next
                assert 28 <= char["x0"] <= char["x1"] <= page.width - 28
                assert 20 <= char["top"] <= char["bottom"] <= page.height - 20


def test_what_goes_on_overleaf_says_so_on_both_pages(large):
    texts = page_texts(large)
    onward = [n for n, text in enumerate(texts, start=1) if "continues on page" in text]
    onto = [n for n, text in enumerate(texts, start=1) if "(continued)" in text]
    assert onto
    assert [n + 1 for n in onward] == onto


def test_no_heading_stands_alone_at_the_foot_of_a_page(large):
    titles = {squeezed(title) for title in bookmarks(large)}
    for text in page_texts(large):
        lines = [
            line
            for line in text.splitlines()
            if not line.startswith(("continues on", "Made by", "Caution", "Key"))
        ]
        assert squeezed(lines[-1]) not in titles


def bookmarks(pdf: bytes) -> list[str]:
    with pikepdf.open(BytesIO(pdf)) as book, book.open_outline() as outline:
        return [item.title for item in outline.root]


def test_every_part_has_its_bookmark(house):
    assert bookmarks(house) == [
        "Condition report", "In short", "What to do next", "What was asked", "Extent", "Limitations",
        "Supply and earthing", "Observations", "Boards", "Visual inspection",
        "DB1 Meter cupboard in the hall – circuit details", "DB1 Meter cupboard in the hall – test results",
        "Load register", "The installation drawn", "Where the registered parts are",
        "Points answered in review", "Instruments", "Cautions", "Notes for the reader", "Declaration",
        "The record itself",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "title", "declared"),
    [
        ("periodic", "Condition report", "a true account of its condition"),
        ("initial", "Initial verification of new work", "while it was built and on completion"),
        (
            "alteration",
            "Verification of an alteration or addition",
            "The rest of the installation",
        ),
        ("fault", "Fault visit report", "no account of the condition of the rest"),
    ],
)
def test_kinds_of_report_declare_what_was_done(kind, title, declared):
    printed = page_texts(draw_report(record(kind=InspectionKind(kind))))
    assert title in printed[0]
    assert squeezed(declared) in squeezed("".join(printed))
    assert ("Unsatisfactory" in printed[0]) == (kind == "periodic")


def test_parts_with_nothing_in_them_are_left_out():
    printed = "".join(page_texts(draw_report(record(kind=InspectionKind.FAULT))))
    assert "Visual inspection" not in printed
    printed = "".join(page_texts(draw_report(record(kind=InspectionKind.INITIAL))))
    assert "Where the registered parts are" not in printed


def test_draft_says_so_on_every_page():
    for text in page_texts(draw_report(record(issued=False))):
        assert "draft, not issued" in text.casefold()


def test_revision_says_what_it_changes():
    content = record()
    content["issue"] |= {
        "revision": 2,
        "what_changed": "Zs of way 3 was copied wrongly.",
        "changes": [{"where": "DB1/3", "what": "Zs (Ω)", "was": "0.45", "now": "0.54"}],
    }
    first = page_texts(draw_report(content))[0]
    assert "No. 41 revision 2" in first
    assert "Zs of way 3 was copied wrongly." in first
    assert "DB1/3: Zs (Ω), was 0.45, is 0.54" in first


def test_file_is_sound_by_an_independent_check_with_title_language_and_embedded_fonts(house, tmp_path):
    path = tmp_path / "report.pdf"
    path.write_bytes(house)
    with pikepdf.open(path) as book:
        assert book.check_pdf_syntax() == []
        assert book.docinfo.Title == "Condition report"
        assert book.Root.Lang == "en-GB"
    fonts = subprocess.run(["pdffonts", path], capture_output=True, text=True, check=True).stdout.splitlines()
    assert len(fonts) > 2
    for line in fonts[2:]:
        assert line.split()[-5:-2] == ["yes", "yes", "yes"]  # embedded, a subset, with a Unicode table


def test_name_no_typeface_of_ours_can_print_is_marked_and_the_mark_explained():
    content = record()
    content["client"]["name"] = "電気 Ltd"
    printed = "".join(page_texts(draw_report(content)))
    assert "\N{REPLACEMENT CHARACTER}\N{REPLACEMENT CHARACTER} Ltd" in printed
    assert "a character that cannot be printed here" in printed


def test_very_long_texts_are_printed_whole():
    content = record()
    content["inspection"]["extent"] = " ".join(f"word{n}" for n in range(3000))
    content["observations"][1]["text"] = " ".join(f"seen{n}" for n in range(2000))
    printed = all_text(draw_report(content, photos()))
    assert "word2999" in printed
    assert "".join(f"seen{n}" for n in range(1000, 1010)) in printed
    assert "seen1999" in printed


def test_photo_that_is_gone_or_no_picture_is_left_out():
    content = record()
    broken = dict.fromkeys(photos(), b"no picture")
    with opened(draw_report(content, broken)) as book:
        assert not any(page.images for page in book.pages)


@pytest.mark.parametrize(("strips", "is_kept"), [(4, True), (8, False)])
def test_a_short_part_across_the_page_is_not_divided_and_a_long_one_may_be(strips, is_kept):
    part = across("Boards", [space(50)] * strips, Frame("Condition report", size=PORTRAIT))

    assert all(piece.keep for piece in part.pieces[:-1]) is is_kept
