"""The writer of long workbooks writes what the writer of schedules writes, of the same description."""

import io
import tracemalloc
from dataclasses import replace
from datetime import date

import openpyxl
import pytest

from inspections.columns import Column, Kind
from reports.sheets.sheet import Document, Sheet, SheetError
from reports.xlsx.long import write_long_xlsx
from reports.xlsx.schedule import write_xlsx
from tests.reports.sheets.larkfield import larkfield


def long(described: Document) -> openpyxl.Workbook:
    file = io.BytesIO()
    write_long_xlsx(described, file)
    return openpyxl.load_workbook(file)


def cells(book):
    """Every cell that says something, by sheet and place, with its type and number format."""
    return {
        (page.title, cell.coordinate): (cell.value, cell.data_type, cell.number_format)
        for page in book
        for row in page
        for cell in row
        if cell.value is not None
    }


def test_a_day_is_a_date_that_a_spreadsheet_sorts_in_both():
    column = Column("since", "Since", Kind.TEXT, "", "", width_mm=20)
    described = Document("Loads", (Sheet("Loads", (column,), ((date(2026, 11, 3),),)),))
    other = openpyxl.load_workbook(io.BytesIO(write_xlsx(described)))
    assert cells(long(described)) == cells(other)
    page = other["Loads"]
    cell = page.cell(page[page.freeze_panes].row, 1)
    assert (cell.is_date, cell.value.date(), cell.number_format) == (True, date(2026, 11, 3), "d mmm yyyy")


def test_cells_sheets_and_properties_are_those_of_a_schedule():
    described = larkfield()
    ours, other = long(described), openpyxl.load_workbook(io.BytesIO(write_xlsx(described)))

    assert cells(ours) == cells(other)
    assert ours.sheetnames == other.sheetnames
    for name in ("title", "creator", "subject", "category"):
        assert getattr(ours.properties, name) == getattr(other.properties, name)
    for page, same in zip(ours, other, strict=True):
        assert page.freeze_panes == same.freeze_panes
        assert page.print_title_rows == same.print_title_rows
        assert page.page_setup.orientation == same.page_setup.orientation


def test_rows_are_taken_as_they_come_and_memory_does_not_grow_with_them():
    described = larkfield()
    sheet = described.sheets[0]
    [row, *_] = sheet.rows

    def peak(number):
        rows = (row for _ in range(number))
        only = replace(described, sheets=(Sheet(sheet.title, sheet.columns, rows),))
        file = io.BytesIO()
        tracemalloc.start()
        write_long_xlsx(only, file)
        most = tracemalloc.get_traced_memory()[1] - len(file.getvalue())
        tracemalloc.stop()
        return most

    peak(10)  # what is made once, such as the patterns of number formats
    assert peak(2000) < 1.5 * peak(200) + 200_000


def test_a_text_that_begins_a_formula_is_a_text_and_one_too_long_is_refused():
    described = larkfield()
    sheet = described.sheets[0]
    first = tuple("=1+1" if n == 0 else "" for n in range(len(sheet.columns)))
    book = long(replace(described, sheets=(Sheet("One", sheet.columns, (first,)),)))
    assert [cell.data_type for row in book["One"] for cell in row if cell.value == "=1+1"] == ["s"]

    too_long = tuple("x" * 40_000 if n == 0 else "" for n in range(len(sheet.columns)))
    with pytest.raises(SheetError, match="a workbook cell holds 32,767"):
        long(replace(described, sheets=(Sheet("One", sheet.columns, (too_long,)),)))
