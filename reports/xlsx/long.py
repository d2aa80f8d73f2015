"""Long tables as a workbook, written row by row: memory does not grow with the rows.

The same description and the same layout as in ``schedule``, by a library that keeps one row at a time.
"""

from collections.abc import Iterable
from datetime import date
from functools import cache
from typing import IO

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from inspections.columns import Kind
from inspections.rules.readings import Reading
from reports.sheets.sheet import NOTHING_ON_SHEET, Document, Fact, Sheet
from reports.sheets.text import clean, entered_text
from reports.xlsx.safe import footer_text, number_format, sheet_names, whole_text
from reports.xlsx.schedule import (
    DAY,
    FIRST_SHEET,
    FORMAT,
    LINE_HEIGHT,
    VALUE_WIDTH,
    column_width,
    key_of,
    lines_of,
)

_A4 = 9  # as workbooks number it


def write_long_xlsx(document: Document, file: IO[bytes]) -> None:
    """Write the document to ``file``; the rows of its sheets are taken one by one. Raises SheetError for a
    text longer than a cell can hold."""
    with xlsxwriter.Workbook(file, {"constant_memory": True}) as book:
        book.set_properties(
            {
                "title": clean(document.noticed(document.title)),
                "author": clean(document.author),
                "subject": clean(document.identity),
                "category": FORMAT,
            }
        )
        names = sheet_names((FIRST_SHEET, *(sheet.tab or sheet.title for sheet in document.sheets)))
        looks = _Looks(book)
        _write_first(_Page(book.add_worksheet(next(names)), looks), document)
        for sheet, name in zip(document.sheets, names, strict=True):
            _write_sheet(_Page(book.add_worksheet(name), looks), sheet, document)


class _Looks:
    """The few formats that all cells share."""

    def __init__(self, book: xlsxwriter.Workbook) -> None:
        def look(**of: object) -> Format:
            return book.add_format({"num_format": "@", **of})

        wrapped = {"valign": "top", "text_wrap": True}
        self.title = look(bold=True, font_size=14)
        self.line = look()
        self.label = look(font_color="#5C5C66", valign="top")
        self.group = look(bold=True, font_color="#0D4566", align="center_across")
        self.heading = look(bold=True, align="center", text_wrap=True, bottom=1)
        self.text_heading = look(bold=True, text_wrap=True, bottom=1)
        self.text = look(**wrapped)
        self.day = look(num_format=DAY, align="left", valign="top")
        # A row of the table is one line tall: to keep how tall each is would take memory.
        self.cell = look(valign="top")
        self.mark = look(align="center", valign="top")
        self.figure = cache(lambda shown: look(align="center", num_format=shown, **wrapped))


class _Page:
    """A sheet and the row that comes next on it."""

    def __init__(self, page: Worksheet, looks: _Looks) -> None:
        self.page, self.looks, self.row = page, looks, 0

    def put(self, *cells: tuple[int, str, Format]) -> None:
        """One row of texts, each at its column; whatever a text is, no spreadsheet runs it."""
        for column, text, look in cells:
            self.put_text(column, text, look)
        self.row += 1

    def put_text(self, column: int, text: str, look: Format) -> None:
        """A cell of the row at hand: a text, or empty with its format."""
        if text:
            self.page.write_string(self.row, column, whole_text(text), look)
        else:
            self.page.write_blank(self.row, column, None, look)

    def put_facts(self, facts: Iterable[Fact], look: Format) -> None:
        for fact in facts:
            self.page.set_row(self.row, lines_of(fact.value, VALUE_WIDTH) * LINE_HEIGHT)
            self.put((0, f"{fact.label}:", self.looks.label), (2, fact.value, look))

    def set_up_print(self, document: Document) -> None:
        self.page.set_landscape()
        self.page.set_paper(_A4)
        self.page.fit_to_pages(1, 0)
        left, centre = footer_text(document.made_by), footer_text(document.noticed(document.identity))
        self.page.set_footer(f"&L{left}&C{centre}&RPage &P of &N")


def _write_first(page: _Page, document: Document) -> None:
    page.page.set_column(0, 0, 24)
    page.page.set_column(2, 2, VALUE_WIDTH)
    page.page.hide_gridlines(2)
    page.put((0, document.noticed(document.title), page.looks.title))
    page.put((0, document.subtitle, page.looks.line))
    page.put((0, document.identity, page.looks.line))
    cautions = [Fact("Caution", caution) for caution in document.cautions]
    for block in (document.facts, cautions, key_of(document), (Fact("Made by", document.made_by),)):
        page.put()
        page.put_facts(block, page.looks.text)
    page.set_up_print(document)


def _write_sheet(page: _Page, sheet: Sheet, document: Document) -> None:
    page.page.hide_gridlines(0)
    for number, column in enumerate(sheet.columns):
        page.page.set_column(number, number, column_width(column))
    page.put((0, document.noticed(sheet.title), page.looks.title))
    page.put((0, document.identity, page.looks.line))
    page.put_facts(sheet.facts, page.looks.line)
    page.put()
    _put_headings(page, sheet)
    page.page.freeze_panes(page.row, min(2, len(sheet.columns) - 1))
    page.page.repeat_rows(page.row - 2, page.row - 1)
    first = page.row
    _put_rows(page, sheet)
    nothing = () if page.row > first else (NOTHING_ON_SHEET,)
    page.put()
    for note in (*nothing, *sheet.notes):
        page.put((0, note, page.looks.line))
    page.set_up_print(document)


def _put_headings(page: _Page, sheet: Sheet) -> None:
    page.put(
        *(
            (index, name if index == start else "", page.looks.group)
            for name, start, end in sheet.groups()
            if name
            for index in range(start, end)
        )
    )
    page.put(
        *(
            (
                index,
                column.title,
                page.looks.text_heading if column.kind is Kind.TEXT else page.looks.heading,
            )
            for index, column in enumerate(sheet.columns)
        )
    )


def _put_rows(page: _Page, sheet: Sheet) -> None:
    looks = [page.looks.cell if column.kind is Kind.TEXT else page.looks.mark for column in sheet.columns]
    write_number, figure = page.page.write_number, page.looks.figure
    for cells in sheet.rows:
        for index, cell in enumerate(cells):
            if isinstance(cell, date):
                page.page.write_datetime(page.row, index, cell, page.looks.day)
                continue
            text = entered_text(cell)
            shown = None if isinstance(cell, str) else number_format(text)
            if shown is None:
                page.put_text(index, text, looks[index])
            else:
                number = cell.value if isinstance(cell, Reading) else cell
                write_number(page.row, index, number, figure(shown))
        page.row += 1
