"""Schedules as a workbook, opened again and read by the rule that the writer documents."""

from dataclasses import replace
from io import BytesIO
from zipfile import ZipFile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from inspections.columns import DETAILS
from inspections.rules.readings import Reading
from reports.sheets.sheet import NOTHING_ON_SHEET, Document, Fact, Sheet, SheetError
from reports.sheets.text import clean, entered_text
from reports.xlsx.safe import footer_text, number_format, sheet_names
from reports.xlsx.schedule import FORMAT, write_xlsx
from tests.reports.sheets.larkfield import RESULT_COLUMNS, larkfield


def reopened(document: Document) -> Workbook:
    return load_workbook(BytesIO(write_xlsx(document)))


def text_of(cell) -> str:
    """The documented rule: a number is written with the decimals of its format, a text is itself."""
    if cell.value is None:
        return ""
    if cell.data_type == "s":
        return cell.value
    decimals = len(cell.number_format.partition(".")[2])
    return f"{cell.value:.{decimals}f}"


def table_of(page) -> tuple[list[str], list[list[str]]]:
    """Headings and rows: the frozen pane begins at the first row, the first empty row ends the table."""
    first = page[page.freeze_panes].row
    width = max(cell.column for cell in page[first - 1] if cell.value is not None)
    headings = [cell.value for cell in page[first - 1][:width]]
    rows = []
    for cells in page.iter_rows(min_row=first, max_col=width):
        texts = [text_of(cell) for cell in cells]
        if not any(texts):
            break
        rows.append(texts)
    return headings, rows


def facts_of(page) -> dict[str, str]:
    """A label in column A that ends in a colon, its value in column C."""
    rows = page.iter_rows(max_col=3, values_only=True)
    return {a.removesuffix(":"): c or "" for a, _, c in rows if a and a.endswith(":")}


def sheet_of(text: str, column: int = 1) -> Sheet:
    row = ["1", *[None] * (len(RESULT_COLUMNS) - 1)]
    row[column] = text
    return Sheet("DB1", RESULT_COLUMNS, (tuple(row),))


def test_every_type_is_named_and_the_row_of_headings_has_room_for_its_lines():
    page = reopened(larkfield(ways=2, boards=1)).worksheets[1]
    cells = [cell for row in page.iter_rows() for cell in row if cell.value is not None]
    assert {cell.font.name for cell in cells} == {"Calibri"}
    (headings,) = {cell.row for cell in cells if cell.value == "Description"}
    usual = 15.0
    assert page.row_dimensions[headings].height >= 2 * usual


def test_every_cell_comes_back_exactly_as_written():
    whole = larkfield(ways=40, boards=3)
    book = reopened(whole)
    assert len(book.worksheets) == len(whole.sheets) + 1
    for sheet, page in zip(whole.sheets, book.worksheets[1:], strict=True):
        headings, rows = table_of(page)
        assert headings == [column.title for column in sheet.columns]
        assert rows == [[entered_text(cell) for cell in row] for row in sheet.rows]
        assert facts_of(page) == {fact.label: fact.value for fact in sheet.facts}


@pytest.mark.parametrize(
    "text", ["0.50", "0.5", "0", "0.00", "28", "100", "0.10", "1999", "98.5", "12345.678901", "999999999999"]
)
def test_an_exact_reading_is_a_number_that_shows_its_resolution(text):
    page = reopened(Document("Schedules", (sheet_of(Reading.parse(text), 2),))).worksheets[1]
    cell = page.cell(page[page.freeze_panes].row, 3)
    assert cell.data_type == "n"
    assert float(cell.value) == float(text)
    assert text_of(cell) == text


@pytest.mark.parametrize("text", [">200", "<0.01", "LIM", "N/A", "N/V", "✓", "✗", ".5", "007", "00.5"])
def test_any_other_reading_is_text(text):
    page = reopened(Document("Schedules", (sheet_of(Reading.parse(text), 2),))).worksheets[1]
    cell = page.cell(page[page.freeze_panes].row, 3)
    assert (cell.data_type, cell.value, cell.number_format) == ("s", text, "@")


@given(st.from_regex(r"[<>]?([0-9]{1,7}(\.[0-9]{1,4})?|\.[0-9]{1,6})", fullmatch=True))
@settings(max_examples=25)
def test_the_text_of_any_reading_survives(text):
    page = reopened(Document("Schedules", (sheet_of(Reading.parse(text), 2),))).worksheets[1]
    assert text_of(page.cell(page[page.freeze_panes].row, 3)) == text


def test_number_format_is_given_only_where_nothing_would_be_lost():
    assert number_format("0.50") == "0.00"
    assert number_format("-1.5") == "0.0"
    assert number_format("-0.0") is None
    assert number_format("1234567890.123456") is None
    assert number_format("") is None


def test_a_designation_that_looks_like_a_number_stays_text():
    page = reopened(larkfield(ways=2, boards=1)).worksheets[1]
    cell = page.cell(page[page.freeze_panes].row, 1)
    assert (cell.data_type, cell.value) == ("s", "1")


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        '=HYPERLINK("http://example.com")',
        "+1",
        "-1+2",
        "@SUM(A1)",
        "#REF!",
        "=",
        "\t=1",
        "\r=1",
        "\x00=1",
    ],
)
def test_user_text_is_never_a_formula(text):
    whole = Document(
        text,
        (replace(sheet_of(text), title=text, facts=(Fact(text, text),), notes=(text,)),),
        text,
        text,
        (Fact(text, text),),
        (text,),
        made_by=text,
    )
    data = write_xlsx(whole)
    for page in load_workbook(BytesIO(data)).worksheets:
        for row in page.iter_rows():
            for cell in row:
                assert cell.value is None or cell.data_type == "s"
    with ZipFile(BytesIO(data)) as parts:
        for name in parts.namelist():
            if name.startswith("xl/worksheets/"):
                assert b"<f>" not in parts.read(name)
                assert b't="e"' not in parts.read(name)
    page = load_workbook(BytesIO(data)).worksheets[1]
    assert page.cell(page[page.freeze_panes].row, 2).value == clean(text)


@settings(max_examples=40)
@given(st.text(max_size=200), st.text(max_size=60))
def test_hostile_text_comes_back_without_control_characters_only(text, name):
    sheet = replace(sheet_of(text), tab=name, notes=(text,))
    page = reopened(Document(name, (sheet, sheet), identity=text, author=name, made_by=text)).worksheets[1]
    assert text_of(page.cell(page[page.freeze_panes].row, 2)) == clean(text)


def test_text_longer_than_a_cell_holds_is_refused_with_advice():
    with pytest.raises(SheetError, match=r"40,000 characters.*holds 32,767.*use the PDF"):
        write_xlsx(Document("Schedules", (sheet_of("x" * 40_000),)))


def test_a_remark_of_five_thousand_characters_is_kept_whole():
    remark = "Luminaire not taken down. " * 200
    page = reopened(Document("Schedules", (sheet_of(remark, len(RESULT_COLUMNS) - 1),))).worksheets[1]
    assert page.cell(page[page.freeze_panes].row, len(RESULT_COLUMNS)).value == remark


def test_the_workbook_names_its_format_and_document():
    whole = larkfield()
    properties = reopened(whole).properties
    assert properties.category == FORMAT == "stillacross-schedules/1"
    assert (properties.title, properties.creator) == (whole.title, "Tidewell Electrical")


def test_each_sheet_prints_landscape_fitted_to_width_with_its_headings_and_page_number():
    book = reopened(larkfield(ways=6, boards=1))
    for page in book.worksheets:
        assert (page.page_setup.orientation, int(page.page_setup.paperSize)) == ("landscape", 9)
        assert page.sheet_properties.pageSetUpPr.fitToPage
        assert (page.page_setup.fitToWidth, page.page_setup.fitToHeight) == (1, 0)
        assert page.oddFooter.right.text == "Page &P of &N"
        assert "Larkfield Mill House" in page.oddFooter.center.text
    for page in book.worksheets[1:]:
        first = page[page.freeze_panes].row
        assert page.print_title_rows == f"${first - 2}:${first - 1}"


def test_groups_stand_over_their_first_column():
    whole = larkfield(ways=2, boards=1)
    for sheet, page in zip(whole.sheets, reopened(whole).worksheets[1:], strict=True):
        row = page[page[page.freeze_panes].row - 2]
        written = {cell.column - 1: cell.value for cell in row if cell.value}
        assert written == {start: name for name, start, _ in sheet.groups() if name}


def test_every_number_fits_its_column():
    long = Reading.parse("12345678.123")
    page = reopened(Document("Schedules", (sheet_of(long, 2),))).worksheets[1]
    assert page.column_dimensions["C"].width >= len(long.text) + 1
    assert min(page.column_dimensions[letter].width for letter in "ADEFGH") >= 8


def test_first_sheet_holds_facts_cautions_key_and_maker():
    whole = larkfield()
    page = reopened(whole).worksheets[0]
    facts = facts_of(page)
    assert {fact.label: fact.value for fact in whole.facts}.items() <= facts.items()
    assert facts["(empty cell)"] == "not entered yet, or not asked of it"
    assert facts["Made by"] == whole.made_by
    cautions = [row[2] for row in page.iter_rows(max_col=3, values_only=True) if row[0] == "Caution:"]
    assert tuple(cautions) == whole.cautions


def test_sheet_without_rows_says_so_below_its_headings():
    page = reopened(Document("Schedules", (Sheet("DB1", DETAILS, (), notes=("A note",)),))).worksheets[1]
    headings, rows = table_of(page)
    assert (len(headings), rows) == (len(DETAILS), [])
    said = [row[0] for row in page.iter_rows(max_col=1, values_only=True) if row[0]]
    assert said[-2:] == [NOTHING_ON_SHEET, "A note"]


def test_sheet_names_are_valid_and_unique():
    names = list(
        sheet_names(["DB1: in/out", "db1 in out", "'quoted'", "", "History", "x" * 40, "x" * 40, "😀" * 40])
    )
    assert names[:5] == ["DB1 in out", "db1 in out (2)", "quoted", "Sheet", "History (2)"]
    assert names[6] == "x" * 27 + " (2)"


@given(st.lists(st.text(max_size=50), max_size=8))
def test_sheet_names_hold_for_any_titles(titles):
    names = list(sheet_names(titles))
    assert len({name.casefold() for name in names}) == len(titles)
    for name in names:
        assert 1 <= len(name.encode("utf-16-le")) // 2 <= 31
        assert not set(name) & set("[]:*?/\\\n")
        assert name == name.strip("'")


def test_footer_text_is_short_and_has_no_codes():
    assert footer_text("Tide && Well\n&P") == "Tide &&&& Well &&P"
    assert len(footer_text("x" * 300)) == 70


def test_a_row_is_as_tall_as_its_longest_text_and_a_short_one_stands_on_one_line():
    usual, words = 15.0, "Lights of the long corridor and of both stairs, " * 3 + "and the porch"
    page = reopened(Document("t", (sheet_of(words), sheet_of("BS EN 60898", 3)))).worksheets
    (tall,) = {cell.row for row in page[1].iter_rows() for cell in row if cell.value == words}
    width = page[1].column_dimensions["B"].width
    assert page[1].row_dimensions[tall].height >= usual * len(words) / width
    assert page[2].column_dimensions["D"].width > len("BS EN 60898")
