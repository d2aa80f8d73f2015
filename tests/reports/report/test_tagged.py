"""The structure of the report's PDF, read back, and what the file says of itself, against
ISO 32000-1 (PDF 1.7), 14.7 and 14.8, and the parts of ISO 19005-3 (PDF/A-3) that can be held here.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from itertools import pairwise
from subprocess import run

import pdfplumber
import pikepdf
import pytest
from PIL import ImageCms

from reports.report.draw import draw_report
from reports.schedules import results_sheets
from reports.sheets.text import cell_text
from tests.reports.report.contents import photos, record

_PAINTS = {"Tj", "TJ", "'", '"', "S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "Do", "sh", "EI"}


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return draw_report(record(), photos())


@dataclass
class Read:
    """An element as it was read back."""

    name: str
    text: str
    says: str
    columns: int
    kids: list["Read"]

    def all(self) -> Iterator["Read"]:
        """The element and all below it, in reading order."""
        yield self
        for kid in self.kids:
            yield from kid.all()


def read(pdf: bytes) -> Read:
    """The structure of the document, each element with the text that is marked as its own."""
    texts = defaultdict(str)
    with pdfplumber.open(BytesIO(pdf)) as book:
        for number, page in enumerate(book.pages):
            for char in page.chars:
                texts[number, char.get("mcid")] += char["text"]
    with pikepdf.open(BytesIO(pdf)) as book:
        numbers = {page.obj.objgen: number for number, page in enumerate(book.pages)}
        return _read(book.Root.StructTreeRoot.K, texts, numbers)


def _read(element: pikepdf.Dictionary, texts: dict, numbers: dict) -> Read:
    content = element.get("/K", [])
    is_marked = isinstance(content, int)
    return Read(
        name=str(element.S)[1:],
        text=texts[numbers[element.Pg.objgen], content].strip() if is_marked else "",
        says=str(element.get("/Alt", "")),
        columns=int(element.get("/A", {}).get("/ColSpan", 1)),
        kids=[] if is_marked else [_read(kid, texts, numbers) for kid in content],
    )


@pytest.fixture(scope="module")
def elements(pdf) -> list[Read]:
    return [*read(pdf).all()]


def named(elements: list[Read], name: str) -> list[Read]:
    return [element for element in elements if element.name == name]


def rows(table: Read) -> list[list[str]]:
    return [[cell.text for cell in row.kids] for row in table.kids]


def test_file_says_that_it_is_tagged(pdf):
    with pikepdf.open(BytesIO(pdf)) as book:
        assert book.Root.MarkInfo.Marked
        assert book.Root.StructTreeRoot.Type == "/StructTreeRoot"


def test_all_that_is_painted_is_marked_once_and_nothing_inside_another(pdf):
    with pikepdf.open(BytesIO(pdf)) as book:
        for page in book.pages:
            depth, marks = 0, Counter()
            for operands, operator in pikepdf.parse_content_stream(page):
                if str(operator) in ("BDC", "BMC"):
                    depth += 1
                    marks.update([int(operands[1].MCID)] if str(operator) == "BDC" else [])
                depth -= str(operator) == "EMC"
                assert depth in (0, 1)
                assert depth or str(operator) not in _PAINTS
            assert depth == 0
            assert marks == Counter(range(len(marks)))


def test_each_mark_leads_to_the_element_that_holds_it(pdf):
    """ISO 32000-1, 14.7.4.4."""
    with pikepdf.open(BytesIO(pdf)) as book:
        found = book.Root.StructTreeRoot.ParentTree.Nums
        parents = dict(zip(map(int, found[::2]), found[1::2], strict=True))
        assert [page.StructParents for page in book.pages] == sorted(parents)
        for page in book.pages:
            for mark, element in enumerate(parents[page.StructParents]):
                assert (element.K, element.Pg.objgen) == (mark, page.obj.objgen)
                assert element.objgen in [kid.objgen for kid in element.P.K]


def test_parts_are_headings_and_stand_in_the_order_of_the_bookmarks(pdf, elements):
    with pikepdf.open(BytesIO(pdf)) as book, book.open_outline() as outline:
        titles = [item.title for item in outline.root]
    assert [element.text for element in elements if element.name in ("H1", "H2")] == titles
    levels = [int(element.name[1]) for element in elements if element.name in ("H1", "H2", "H3")]
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_schedule_is_a_table_with_every_cell_in_its_place(elements):
    (sheet,) = results_sheets(record())
    tables = [rows(table) for table in named(elements, "Table")]
    (schedule,) = [table for table in tables if any("Live-live" in " ".join(row) for row in table)]
    headings, cells = schedule[1], schedule[2:]
    assert len(headings) == len(sheet.columns)
    # Lines of a cell are parted by a space, wherever they broke.
    assert [["".join(cell.split()) for cell in row] for row in cells] == [
        ["".join(cell_text(cell).split()) for cell in row] for row in sheet.rows
    ]


def test_every_row_of_a_table_spans_all_its_columns(elements):
    tables = named(elements, "Table")
    assert len(tables) >= 7
    for table in tables:
        assert len({sum(cell.columns for cell in row.kids) for row in table.kids}) == 1
        assert {cell.name for cell in table.kids[0].kids} == {"TH"}


def test_heading_of_a_table_is_told_once_however_many_pages_it_takes():
    document = read(draw_report(record(circuits=200, boards=2)))
    longest = max(named(document.kids, "Table"), key=lambda table: len(table.kids))
    kinds = [{cell.name for cell in row.kids} for row in longest.kids]
    assert kinds == [{"TH"}, {"TH"}] + [{"TD"}] * 100


def test_every_picture_says_what_it_shows(elements):
    said = [figure.says for figure in named(elements, "Figure")]
    assert len(said) == 4
    assert said[0].startswith("Photograph of observation 1: DB1")
    assert any("feeding 1 board with 12 circuits" in text for text in said)


def test_lines_of_a_paragraph_are_kept_apart(elements):
    texts = [element.text for element in named(elements, "P")]
    extent = next(text for text in texts if text.startswith("The whole fixed installation"))
    assert extent == record()["inspection"]["extent"]


def test_information_and_xmp_say_the_same(pdf):
    """ISO 19005-3, 6.6.2.2."""
    with pikepdf.open(BytesIO(pdf)) as book, book.open_metadata() as xmp:
        about = book.docinfo
        assert xmp["dc:title"] == about["/Title"] == "Condition report"
        assert xmp["dc:description"] == about["/Subject"]
        assert xmp["dc:creator"] == [about["/Author"]] == ["Tidewell Electrical"]
        assert xmp["xmp:CreatorTool"] == about["/Creator"] == "Stillacross"
        assert xmp["pdf:Producer"] == about["/Producer"]
        assert xmp["xmp:CreateDate"] == xmp["xmp:ModifyDate"] == "2026-11-05T15:04:05Z"
        assert about["/CreationDate"] == about["/ModDate"] == "D:20261105150405Z"
        assert "pdfaid:part" not in xmp  # claimed only where it was validated


def test_draft_says_no_time_and_a_name_with_signs_of_markup_is_whole():
    content = record(issued=False)
    content["firm"]["name"] = "Tide & <Well>"
    with pikepdf.open(BytesIO(draw_report(content))) as book, book.open_metadata() as xmp:
        assert "/CreationDate" not in book.docinfo
        assert "xmp:CreateDate" not in xmp
        assert xmp["dc:creator"] == ["Tide & <Well>"]


def test_colours_are_told_by_a_profile_and_the_record_is_data_of_the_whole_file(pdf):
    """ISO 19005-3, 6.2.3 and 6.8."""
    with pikepdf.open(BytesIO(pdf)) as book:
        (intent,) = book.Root.OutputIntents
        profile = ImageCms.ImageCmsProfile(BytesIO(intent.DestOutputProfile.read_bytes()))
        assert "sRGB" in ImageCms.getProfileDescription(profile)
        (attached,) = book.Root.AF
        assert attached.AFRelationship == "/Data"
        assert attached.EF.F.Subtype == "/application/json"


def test_title_is_shown_and_nothing_runs_or_leads_out_of_the_file(pdf):
    with pikepdf.open(BytesIO(pdf)) as book:
        assert book.Root.ViewerPreferences.DisplayDocTitle
        assert not {"/OpenAction", "/AA", "/AcroForm"} & set(book.Root.keys())
        assert "/JavaScript" not in book.Root.Names
        dictionaries = (
            each for each in book.objects if isinstance(each, pikepdf.Dictionary | pikepdf.Stream)
        )
        assert not [
            each for each in dictionaries if "/URI" in each or "/JS" in each or each.get("/S") == "/Launch"
        ]
        assert not any("/Annots" in page for page in book.pages)


def test_file_is_sound_by_qpdf(pdf, needed_program, tmp_path):
    path = tmp_path / "report.pdf"
    path.write_bytes(pdf)
    checked = run([needed_program("qpdf"), "--check", path], capture_output=True, text=True)
    assert checked.returncode == 0, checked.stdout + checked.stderr
