"""Schedules as a PDF, read back."""

import subprocess
from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.columns import DETAILS, Column, Kind
from inspections.rules.readings import BLANK, Reading
from reports.pdf.page import SMALL
from reports.pdf.schedule import write_pdf
from reports.pdf.text import REPLACEMENT, printable
from reports.sheets.sheet import NOT_ENTERED, NOTHING_ON_SHEET, Document, Fact, Sheet
from tests.reports.pdf.reading_back import all_text, missing_cells, opened, page_texts, squeezed
from tests.reports.sheets.larkfield import CAUTIONS, RESULT_COLUMNS, larkfield

A4_LANDSCAPE = (297 / 25.4 * 72, 210 / 25.4 * 72)


def document(*sheets: Sheet, **others) -> Document:
    return Document("Schedules", sheets, **others)


def with_cells(sheet: Sheet, row: int, **cells) -> Sheet:
    """The sheet with some cells of one row replaced."""
    names = [column.name for column in sheet.columns]
    changed = list(sheet.rows[row])
    for name, cell in cells.items():
        changed[names.index(name)] = cell
    return replace(sheet, rows=(*sheet.rows[:row], tuple(changed), *sheet.rows[row + 1 :]))


def test_every_cell_of_every_page_can_be_read_in_its_column():
    whole = larkfield(ways=60, boards=2)
    with opened(write_pdf(whole)) as book:
        starts = [
            next(
                n
                for n, page in enumerate(book.pages)
                if squeezed(sheet.title) in squeezed(page.extract_text())
            )
            for sheet in whole.sheets
        ]
        for sheet, start, end in zip(whole.sheets, starts, [*starts[1:], len(book.pages)], strict=True):
            assert end - start >= 2
            assert missing_cells(book.pages[start:end], sheet) == []


def test_pages_are_landscape_a4_and_nothing_stands_outside_the_margins():
    with opened(write_pdf(larkfield(ways=40))) as book:
        for page in book.pages:
            assert (page.width, page.height) == pytest.approx(A4_LANDSCAPE, abs=0.1)
            for char in page.chars:
                assert char["x0"] >= 28
                assert char["x1"] <= page.width - 28
                assert char["top"] >= 20
                assert char["bottom"] <= page.height - 20


def test_no_type_is_smaller_than_six_and_a_half_points():
    assert SMALL == 6.5
    with opened(write_pdf(larkfield())) as book:
        assert min(char["size"] for page in book.pages for char in page.chars) >= 6.49


def test_every_font_is_embedded_subset_and_has_a_unicode_table(tmp_path):
    path = tmp_path / "schedules.pdf"
    path.write_bytes(write_pdf(larkfield()))
    listed = subprocess.run(
        ["pdffonts", path], capture_output=True, text=True, check=True
    ).stdout.splitlines()[2:]
    assert listed
    for line in listed:
        assert "DejaVuSans" in line
        assert line.split()[-5:-2] == ["yes", "yes", "yes"]


def test_headings_with_units_stand_on_every_page_of_a_sheet():
    results = larkfield(ways=60).sheets[1]
    texts = page_texts(write_pdf(document(results)))
    assert len(texts) >= 3
    for text in texts:
        for group in ("Ring final", "Continuity", "Insulation resistance", "Live tests"):
            assert group in text
        for heading in ("Description", "R1+R2", "Live-live", "Live-earth", "Remarks", "MΩ", "ms"):
            assert heading in text


def test_following_pages_say_continued_and_the_pages_are_counted():
    results = larkfield(ways=60).sheets[1]
    texts = page_texts(write_pdf(document(results)))
    assert "(continued)" not in texts[0]
    assert all(f"{results.title} (continued)" in text for text in texts[1:])
    for number, text in enumerate(texts, start=1):
        assert f"Page {number} of {len(texts)}" in text


def test_a_board_begins_a_page_with_its_facts():
    whole = larkfield(ways=6, boards=2)
    texts = page_texts(write_pdf(whole))
    assert len(texts) == len(whole.sheets)
    for sheet, text in zip(whole.sheets, texts, strict=True):
        assert text.index(sheet.title) < text.index("Zs at board (Ω)") < text.index("Description")
        for fact in sheet.facts:
            assert fact.value in text


def test_opening_prints_all_facts_and_marks_the_one_not_entered():
    whole = larkfield()
    first = page_texts(write_pdf(whole))[0]
    for fact in whole.facts:
        assert fact.label in first
        assert (fact.value or NOT_ENTERED) in first


def test_identity_cautions_and_key_stand_on_every_page():
    whole = larkfield(ways=40)
    for text in page_texts(write_pdf(whole)):
        assert whole.identity in text
        for caution in CAUTIONS:
            assert caution in text
        assert "… not entered yet (an empty cell: not asked of it)" in text
        assert "N/A not applicable" in text


def test_not_entered_and_not_applicable_look_different():
    columns = (DETAILS[0], RESULT_COLUMNS[2])
    sheet = Sheet("DB1", columns, (("1", BLANK), ("2", None), ("3", Reading.parse("N/A"))))
    lines = page_texts(write_pdf(document(sheet)))[0].splitlines()
    assert [line for line in lines if line.startswith(("1 ", "2 ", "3 "))] == ["1 …", "2 …", "3 N/A"]


def test_sheet_without_rows_says_so():
    text = page_texts(write_pdf(document(Sheet("DB9: test results", RESULT_COLUMNS, ()))))[0]
    assert NOTHING_ON_SHEET in text


def test_document_without_sheets_still_has_its_facts():
    assert "Larkfield" in page_texts(write_pdf(document(facts=(Fact("Installation", "Larkfield"),))))[0]


def test_decimal_points_of_a_column_stand_under_each_other():
    column = next(column for column in RESULT_COLUMNS if column.name == "ir_live_earth")
    readings = ("0.19", "98.5", "150.25", ">20.0")
    sheet = Sheet(
        "DB1", (DETAILS[0], column), tuple((str(n), Reading.parse(r)) for n, r in enumerate(readings))
    )
    with opened(write_pdf(document(sheet))) as book:
        right = book.pages[0].width / 2.5
        points = [round(c["x0"], 2) for c in book.pages[0].chars if c["text"] == "." and c["x0"] > right]
    assert len(points) == len(readings)
    assert len(set(points)) == 1


def test_same_document_same_bytes():
    assert write_pdf(larkfield()) == write_pdf(larkfield())
    assert write_pdf(larkfield(ways=17)) != write_pdf(larkfield(ways=18))


def test_title_author_language_and_bookmarks_are_set():
    whole = larkfield(ways=40, boards=2)
    with opened(write_pdf(whole)) as book:
        assert book.metadata["Title"] == whole.title
        assert book.metadata["Author"] == "Tidewell Electrical"
        assert book.metadata["Subject"] == whole.identity
        assert book.doc.catalog["Lang"] == b"en-GB"
        titles = [title for _, title, *_ in book.doc.get_outlines()]
    assert titles == [whole.title, *(sheet.title for sheet in whole.sheets)]


def test_remark_of_five_thousand_characters_is_printed_in_full_below_the_table():
    remark = " ".join(f"word{n}" for n in range(720))
    assert len(remark) > 5_000
    results = with_cells(larkfield(ways=9).sheets[1], 1, remarks=remark)
    pdf = write_pdf(document(results))
    assert len(page_texts(pdf)) <= 2
    with opened(pdf) as book:
        words = [word["text"] for page in book.pages for word in page.extract_words()]
        assert [word for word in words if word.startswith("word")] == remark.split()
        assert "Note 1 (2, Remarks): word0" in book.pages[0].extract_text()
        assert missing_cells(book.pages, with_cells(results, 1, remarks="see note 1 below")) == []


def test_long_word_is_broken_inside_its_own_column():
    word = "Ü" * 30 + "Sicherungskasten" * 8
    results = with_cells(larkfield(ways=6).sheets[1], 2, description=word, remarks=word)
    with opened(write_pdf(document(results))) as book:
        assert missing_cells(book.pages, results) == []


def test_reading_wider_than_its_column_is_wrapped_not_cut():
    results = with_cells(
        larkfield(ways=6).sheets[1], 0, r1=Reading.parse(">1234567890.5"), zs=Reading.parse("9" * 12)
    )
    with opened(write_pdf(document(results))) as book:
        assert missing_cells(book.pages, results) == []


def test_character_that_cannot_be_printed_is_marked_and_the_key_explains_the_mark():
    results = with_cells(larkfield(ways=3).sheets[1], 0, remarks="客厅 💡 lamp")
    text = page_texts(write_pdf(document(results)))[0]
    assert f"{REPLACEMENT * 2} {REPLACEMENT} lamp" in text
    assert f"{REPLACEMENT} a character that cannot be printed here" in text
    assert REPLACEMENT not in page_texts(write_pdf(larkfield(ways=3)))[0]


def test_cautions_too_long_for_a_foot_stand_in_full_at_the_end():
    cautions = tuple(f"Caution number {n}: isolate, lock off and prove dead before work." for n in range(40))
    texts = page_texts(write_pdf(document(*larkfield(ways=6).sheets, cautions=cautions)))
    assert all("stand in full at the end" in text for text in texts)
    assert [caution for caution in cautions if caution not in "\n".join(texts[2:])] == []


HOSTILE = st.text(alphabet=st.characters(), max_size=60) | st.sampled_from(
    (
        "=1+1",
        "<b>bold</b>",
        "&amp;",
        "(\\)",
        "%s",
        "\x00\x1b[31m",
        "عربي ו",
        "😀" * 9,
        "e\u0301" * 40,
        "W" * 500,
        " ",
        "\n\n",
    )
)


@settings(max_examples=60)
@given(
    rows=st.lists(st.tuples(HOSTILE, HOSTILE, st.just(Reading.parse(">200")), HOSTILE), max_size=12),
    title=HOSTILE,
    fact=HOSTILE,
    long=st.integers(min_value=0, max_value=5_000),
)
def test_hostile_text_breaks_nothing_and_is_all_there(rows, title, fact, long):
    columns = (
        Column("designation", "No.", Kind.TEXT, "Circuit", "", width_mm=11),
        Column("description", "Description", Kind.TEXT, "Circuit", "", width_mm=52),
        Column("ir", "Live-live", Kind.READING, "Tests", "", "MΩ", 16),
        Column("remarks", "Remarks", Kind.TEXT, "", "", width_mm=48),
    )
    sheet = Sheet(title, columns, tuple(rows), (Fact("Board", fact), Fact(fact, title)), (fact + "z" * long,))
    pdf = write_pdf(
        Document(
            title, (sheet,), title, fact, (Fact("Installation", title),), (fact,), made_by=fact, author=title
        )
    )
    text = all_text(pdf)
    for hostile in (
        title,
        fact,
        fact + "z" * long,
        *(cell for row in rows for cell in row if isinstance(cell, str)),
    ):
        shown = squeezed(printable(hostile))
        assert not Counter(shown) - Counter(text)  # a long text may be parted by the foot of a page
        assert shown in text or len(shown) > 100


def test_a_wide_table_is_scaled_to_the_page():
    columns = tuple(Column(f"c{n}", f"Col {n}", Kind.DECIMAL, "Many", "", "Ω", 20) for n in range(30))
    sheet = Sheet("Wide", columns, ((*(Decimal("12.34") for _ in columns),),))
    with opened(write_pdf(document(sheet))) as book:
        assert missing_cells(book.pages, sheet) == []
        assert max(char["x1"] for char in book.pages[0].chars) <= book.pages[0].width - 28
