"""A sheet as it stood in the file: its filled cells and its merged ranges, whatever kind of file it was."""

from dataclasses import dataclass, field
from enum import StrEnum

MAX_BYTES = 10 * 1024 * 1024
MAX_ROWS = 20_000
MAX_COLUMNS = 256
MAX_SHEETS = 100
MAX_TEXT = 2_000
_MAX_MERGED_CELLS = 200_000


class Found(StrEnum):
    """What a cell held."""

    TEXT = "text"
    NUMBER = "number"
    DATE = "date"
    YES_NO = "yes or no"
    ERROR = "spreadsheet error"
    NO_VALUE = "formula without a stored value"


@dataclass(frozen=True, slots=True)
class Raw:
    """One filled cell. text: what it shows, a date as ISO. note: where what it shows is not all it holds."""

    text: str
    found: Found = Found.TEXT
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """rows: filled cells by row number, then by column number, both from 1. covered: for a cell inside a
    merged range, the row and column of the cell that holds its content."""

    name: str
    rows: dict[int, dict[int, Raw]]
    covered: dict[tuple[int, int], tuple[int, int]] = field(default_factory=dict)

    def text(self, row: int, column: int) -> str:
        """What stands at a cell, its merged range counted as its own."""
        raw = self.rows.get(row, {}).get(column)
        if raw is None and (origin := self.covered.get((row, column))):
            raw = self.rows.get(origin[0], {}).get(origin[1])
        return raw.text if raw else ""


def covered_cells(
    ranges: list[tuple[int, int, int, int]], last_row: int, last_column: int
) -> dict[tuple[int, int], tuple[int, int]]:
    """The cells inside merged ranges, each pointing at its range's first cell. Ranges are (left, top, right,
    bottom). What lies outside the filled part of the sheet is left out, and so are ranges beyond a limit."""
    covered: dict[tuple[int, int], tuple[int, int]] = {}
    room = _MAX_MERGED_CELLS
    for left, top, right, bottom in ranges:
        right, bottom = min(right, last_column), min(bottom, last_row)
        room -= max(0, right - left + 1) * max(0, bottom - top + 1)
        if room < 0:
            break
        for row in range(top, bottom + 1):
            for column in range(left, right + 1):
                covered[row, column] = (top, left)
        covered.pop((top, left), None)
    return covered


def letter(column: int) -> str:
    """The letter of a column counted from 1.

    >>> letter(1), letter(27)
    ('A', 'AA')
    """
    name = ""
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(65 + rest) + name
    return name


def column_number(name: str) -> int:
    """The column that letters name, from 1.

    >>> column_number("AA")
    27
    """
    number = 0
    for sign in name.upper():
        number = number * 26 + ord(sign) - 64
    return number
