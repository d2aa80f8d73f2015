"""A sheet as comma-separated text."""

import csv
from collections.abc import Iterator
from io import StringIO

from reports.sheets.sheet import Cell, Sheet
from reports.sheets.text import clean, entered_text

_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_BYTE_ORDER_MARK = "\ufeff"  # a spreadsheet takes a text without it for another alphabet
_ROWS_AT_ONCE = 500


def csv_lines(sheet: Sheet, notice: str = "") -> Iterator[str]:
    """Headings and rows, some at a time, so that memory does not grow with them; a notice stands on a line
    before them. A text that a spreadsheet would run as a formula has an apostrophe before it."""
    buffer = StringIO(_BYTE_ORDER_MARK)
    buffer.seek(0, 2)
    writer = csv.writer(buffer)
    if notice:
        writer.writerow([notice])
    writer.writerow([_guarded(column.title) for column in sheet.columns])
    for number, row in enumerate(sheet.rows, start=1):
        writer.writerow([_guarded(cell) for cell in row])
        if number % _ROWS_AT_ONCE == 0:
            yield _taken(buffer)
    yield _taken(buffer)


def _taken(buffer: StringIO) -> str:
    text = buffer.getvalue()
    buffer.seek(0)
    buffer.truncate()
    return text


def _guarded(cell: Cell) -> str:
    text = clean(entered_text(cell))
    return f"'{text}" if isinstance(cell, str) and text.startswith(_BEGINS_A_FORMULA) else text
