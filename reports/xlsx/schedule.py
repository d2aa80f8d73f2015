"""Schedules as a workbook that opens in any spreadsheet and can be read back into the record.

How it is laid out, for whoever reads it back (format ``stillacross-schedules/1``, named in the workbook's
property *category*):

- The first sheet holds the document: title, subtitle and identity in column A, then one fact a row, then
cautions, key and who made it. Every other sheet is one schedule of one board. - A fact is a row with its
label, ending in a colon, in column A and its value in column C: ``Board:`` | | ``DB1``. - A schedule sheet
holds its title, the identity, its facts, an empty row, a row of groups, a row of headings that are exactly
``Column.title``, and then one row a circuit until the first empty row; notes follow. The panes are frozen
below the headings, so ``worksheet.freeze_panes`` names the first circuit's row. - An empty cell is a
reading not entered yet. - A reading that is an exact number is a number whose format keeps its resolution:
its text is the value written with as many decimals as there are digits after the point of the number format
(0.5 as ``0.00`` is ``0.50``). A day is a date. Every other reading is a text cell and is its own text. Cells
left empty have the text format, so that what is typed into them is kept as typed.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from functools import cache
from io import BytesIO
from math import ceil

from openpyxl import Workbook
from openpyxl.cell import Cell as SheetCell
from openpyxl.styles import DEFAULT_FONT, Alignment, Border, Font, Side
from openpyxl.styles.cell_style import StyleArray
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.worksheet import Worksheet

from inspections.columns import Column, Kind
from inspections.rules.readings import Reading
from reports.sheets.sheet import NOT_ENTERED, NOTHING_ON_SHEET, Document, Fact, Sheet
from reports.sheets.text import clean, entered_text
from reports.xlsx.safe import footer_text, number_format, sheet_names, whole_text

FORMAT = "stillacross-schedules/1"
FIRST_SHEET = "Document"

_MM_PER_CHARACTER = 1.85  # of the spreadsheet's own column width, at its usual type
_LEAST_WIDTH = 8.0
LINE_HEIGHT = 15.0
VALUE_WIDTH = 100.0  # of the first sheet's values, in characters
_SHORT = 14  # a text of so many characters stands on one line
_TEXT = "@"
DAY = "d mmm yyyy"


def write_xlsx(document: Document) -> bytes:
    """The document as a workbook. Raises SheetError for a text longer than a cell can hold."""
    book = Workbook()
    properties = book.properties
    properties.title, properties.creator = clean(document.noticed(document.title)), clean(document.author)
    properties.subject, properties.language = clean(document.identity), document.language
    properties.category = FORMAT
    names = sheet_names((FIRST_SHEET, *(sheet.tab or sheet.title for sheet in document.sheets)))
    styles = _Styles(book)
    book.active.title = next(names)
    _write_first(book.active, document, styles)
    for sheet, name in zip(document.sheets, names, strict=True):
        _write_sheet(book.create_sheet(name), sheet, document, styles)
    buffer = BytesIO()
    book.save(buffer)
    return buffer.getvalue()


class _Styles:
    """The few styles that all cells share, made once for a workbook: setting them cell by cell is slow."""

    def __init__(self, book: Workbook) -> None:
        self._page = book.active
        wrapped = Alignment(vertical="top", wrap_text=True)
        centred = Alignment(horizontal="center", vertical="top", wrap_text=True)
        across = Alignment(horizontal="centerContinuous", vertical="bottom")
        above = Alignment(horizontal="center", vertical="bottom", wrap_text=True)
        ruled = Border(bottom=Side("thin"))
        self.title = self._make(font=_font(bold=True, size=14))
        self.line = self._make()
        self.label = self._make(font=_font(color="5C5C66"), alignment=Alignment(vertical="top"))
        self.group = self._make(font=_font(bold=True, color="0D4566"), alignment=across)
        self.heading = self._make(font=_font(bold=True), alignment=above, border=ruled)
        self.text_heading = self._make(
            font=_font(bold=True), alignment=Alignment(wrap_text=True), border=ruled
        )
        self.text = self._make(alignment=wrapped)
        self.day = self._make(number_format=DAY, alignment=Alignment(horizontal="left", vertical="top"))
        self.mark = self._make(alignment=centred)
        self.figure = cache(lambda shown: self._make(number_format=shown, alignment=centred))

    def _make(self, *, number_format: str = _TEXT, **looks: Font | Alignment | Border) -> StyleArray:
        pattern = SheetCell(self._page)
        pattern.number_format = number_format
        for name, look in looks.items():
            setattr(pattern, name, look)
        return (
            pattern._style
        )  # openpyxl takes a style array for a new cell but names no public way to get one


def _write_first(page: Worksheet, document: Document, styles: _Styles) -> None:
    for letter, width in (("A", 24.0), ("B", 4.0), ("C", VALUE_WIDTH)):
        page.column_dimensions[letter].width = width
    page.append([_text_cell(page, document.noticed(document.title), styles.title)])
    page.append([_text_cell(page, document.subtitle, styles.line)])
    page.append([_text_cell(page, document.identity, styles.line)])
    cautions = tuple(Fact("Caution", caution) for caution in document.cautions)
    for block in (document.facts, cautions, tuple(key_of(document)), (Fact("Made by", document.made_by),)):
        page.append([])
        for fact, row in zip(block, _fact_rows(page, block, styles, styles.text), strict=True):
            page.append(row)
            _make_room(page, page.max_row, lines_of(fact.value, VALUE_WIDTH))
    page.sheet_view.showGridLines = False
    _set_up_print(page, document)


def key_of(document: Document) -> Iterator[Fact]:
    """What the marks mean; an empty cell stands here for what paper shows as a mark."""
    for fact in document.key:
        is_empty = fact.label == NOT_ENTERED
        yield Fact("(empty cell)", "not entered yet, or not asked of it") if is_empty else fact


def _font(*, size: int = 11, **looks: bool | str) -> Font:
    """The usual type, set otherwise. A font without a name is shown in whatever the reader has."""
    return Font(name=DEFAULT_FONT.name, size=size, **looks)


def column_width(column: Column, longest: int = 0) -> float:
    """Of a column whose longest number or short text has so many characters, in characters."""
    return max(column.width_mm / _MM_PER_CHARACTER, _LEAST_WIDTH, longest + 2)


def lines_of(text: str, width: float) -> int:
    """On how many lines a text stands in a cell ``width`` characters wide. A row is made as tall as that: not
    every spreadsheet does it by itself."""
    return sum(max(ceil(len(line) / width), 1) for line in clean(text).split("\n"))


def _make_room(page: Worksheet, row: int, lines: int) -> None:
    """Make a row tall enough for so many lines."""
    if lines > 1:
        page.row_dimensions[row].height = lines * LINE_HEIGHT


def _write_sheet(page: Worksheet, sheet: Sheet, document: Document, styles: _Styles) -> None:
    page.append([_text_cell(page, document.noticed(sheet.title), styles.title)])
    page.append([_text_cell(page, document.identity, styles.line)])
    for row in _fact_rows(page, sheet.facts, styles, styles.line):
        page.append(row)
    page.append([])
    group_row = len(sheet.facts) + 4
    first = group_row + 2
    _put_headings(page, sheet, styles)
    longest = _put_rows(page, sheet, styles)
    for index, (column, digits) in enumerate(zip(sheet.columns, longest, strict=True), start=1):
        page.column_dimensions[get_column_letter(index)].width = column_width(column, digits)
    page.append([])
    told = (sheet.figure.in_words,) if sheet.figure else ()
    notes = (*(() if sheet.rows else (NOTHING_ON_SHEET,)), *told, *sheet.notes)
    _put_notes(page, first + len(sheet.rows) + 1, notes, len(sheet.columns), styles)
    page.freeze_panes = f"{get_column_letter(min(3, len(sheet.columns)))}{first}"
    page.print_title_rows = f"{group_row}:{group_row + 1}"
    _set_up_print(page, document)


def _text_cell(page: Worksheet, text: str, style: StyleArray) -> SheetCell:
    """A text cell: whatever the text is, no spreadsheet runs it."""
    cell = SheetCell(page, style_array=style)
    text = whole_text(text)
    if text:
        cell.value = text
        cell.data_type = "s"  # a text that begins with “=” or looks like an error value stays a text
    return cell


def _fact_rows(
    page: Worksheet, facts: Iterable[Fact], styles: _Styles, value_style: StyleArray
) -> Iterator[list[SheetCell | None]]:
    for fact in facts:
        label = _text_cell(page, f"{fact.label}:", styles.label)
        yield [label, None, _text_cell(page, fact.value, value_style)]


def _put_headings(page: Worksheet, sheet: Sheet, styles: _Styles) -> None:
    # A group's name is centred over its columns without merging them, so that they can still be sorted.
    page.append(
        [
            _text_cell(page, name if index == start else "", styles.group) if name else None
            for name, start, end in sheet.groups()
            for index in range(start, end)
        ]
    )
    page.append(
        [
            _text_cell(
                page, column.title, styles.text_heading if column.kind is Kind.TEXT else styles.heading
            )
            for column in sheet.columns
        ]
    )
    lines = max(lines_of(column.title, column_width(column)) for column in sheet.columns)
    _make_room(page, page.max_row, lines)


def _put_rows(page: Worksheet, sheet: Sheet, styles: _Styles) -> Sequence[int]:
    """The rows of the table below what is there; returns the length of each column's longest number or short
    text."""
    longest = [0] * len(sheet.columns)
    widths = [column_width(column, _SHORT) for column in sheet.columns]
    text_styles = [styles.text if column.kind is Kind.TEXT else styles.mark for column in sheet.columns]
    for number, cells in enumerate(sheet.rows, start=page.max_row + 1):
        row, lines = [], 1
        for index, cell in enumerate(cells):
            if isinstance(cell, date):
                row.append(SheetCell(page, value=cell, style_array=styles.day))
                continue
            text = entered_text(cell)
            length = len(text)
            shown = None if isinstance(cell, str) else number_format(text)
            if shown is None:
                row.append(_text_cell(page, text, text_styles[index]))
                if length > _SHORT:
                    if length > widths[index] or "\n" in text:
                        lines = max(lines, lines_of(text, widths[index]))
                    length = _SHORT
            else:
                figure = cell.value if isinstance(cell, Reading) else cell
                row.append(SheetCell(page, value=figure, style_array=styles.figure(shown)))
            if length > longest[index]:
                longest[index] = length
        page.append(row)
        _make_room(page, number, lines)
    return longest


def _put_notes(page: Worksheet, first: int, notes: Iterable[str], columns: int, styles: _Styles) -> None:
    """Each note over the whole width, tall enough to be read in full."""
    width = sum(page.column_dimensions[get_column_letter(n)].width for n in range(1, columns + 1))
    for row, note in enumerate(notes, start=first):
        page.append([_text_cell(page, note, styles.text)])
        if columns > 1:
            page.merge_cells(start_row=row, end_row=row, start_column=1, end_column=columns)
        _make_room(page, row, lines_of(note, width))


def _set_up_print(page: Worksheet, document: Document) -> None:
    setup = page.page_setup
    setup.orientation, setup.paperSize = page.ORIENTATION_LANDSCAPE, page.PAPERSIZE_A4
    setup.fitToWidth, setup.fitToHeight = 1, 0  # as many pages tall as it needs
    page.sheet_properties.pageSetUpPr.fitToPage = True
    page.print_options.gridLines = page.sheet_view.showGridLines is not False
    page.page_margins = PageMargins(left=0.4, right=0.4, top=0.4, bottom=0.6, header=0.2, footer=0.3)
    footer = page.oddFooter
    footer.left.text = footer_text(document.made_by) or None
    footer.center.text = footer_text(document.noticed(document.identity)) or None
    footer.right.text = "Page &P of &N"
