"""One long table as a workbook, written row by row: memory does not grow with the rows."""

from collections.abc import Iterable
from typing import IO

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from inspections.columns import Column
from reports.sheets.sheet import Cell, Fact
from reports.sheets.text import clean, entered_text
from reports.xlsx.safe import MAX_TEXT, sheet_names

_MM_PER_CHARACTER = 1.85  # of the spreadsheet's own column width, at its usual type


def write_long_xlsx(
    file: IO[bytes],
    *,
    title: str,
    identity: str,
    facts: Iterable[Fact],
    columns: tuple[Column, ...],
    rows: Iterable[tuple[Cell, ...]],
) -> None:
    """Write to ``file``: title, identity and facts, an empty row, the headings, then one row each."""
    book = Workbook(write_only=True)
    (name,) = sheet_names((title,))
    page = book.create_sheet(name)
    for number, column in enumerate(columns, start=1):
        page.column_dimensions[get_column_letter(number)].width = column.width_mm / _MM_PER_CHARACTER
    above = [[title], [identity], *([f"{fact.label}: {fact.value}"] for fact in facts), []]
    page.freeze_panes = f"A{len(above) + 2}"
    for line in above:
        page.append([_text(page, text) for text in line])
    headings = [_text(page, column.title) for column in columns]
    for heading in headings:
        heading.font = Font(bold=True)
    page.append(headings)
    for row in rows:
        page.append([cell if isinstance(cell, int) else _text(page, entered_text(cell)) for cell in row])
    book.save(file)


def _text(page, text: str) -> WriteOnlyCell:
    """A text cell: whatever the text is, no spreadsheet runs it."""
    cell = WriteOnlyCell(page, clean(text)[:MAX_TEXT])
    cell.data_type = "s"
    return cell
