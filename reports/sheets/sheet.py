"""A document of schedules, described once. The PDF and the workbook are both written from this description,
so they cannot say different things. It holds no layout: only what stands where, and in what order.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby

from inspections.columns import Column, Kind
from inspections.rules.readings import Reading
from reports.sheets.figure import Figure

Cell = Reading | Decimal | int | date | str | None
"""None and the blank Reading are *not entered yet*; an empty string is a text that has nothing to say."""

NOT_ENTERED = "…"
NOTHING_ON_SHEET = "Nothing is entered on this sheet."
FIGURES = frozenset({Kind.WHOLE, Kind.DECIMAL, Kind.READING})


class SheetError(ValueError):
    """The description cannot be written. The message says which sheet and what is wrong with it."""


@dataclass(frozen=True, slots=True)
class Fact:
    """A label and its value, e.g. ``Fact("Board", "DB1")``. An empty value is one not entered yet."""

    label: str
    value: str = ""


NOTATION: tuple[Fact, ...] = (
    Fact(NOT_ENTERED, "not entered yet (an empty cell: not asked of it)"),
    Fact("N/A", "not applicable"),
    Fact("N/V", "not verified"),
    Fact("LIM", "limitation, with its reason among the limitations"),
    Fact(">", "beyond the range of the instrument"),
    Fact("<", "below the lowest it shows"),
    Fact("✓", "passed"),
    Fact("✗", "failed"),
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table with its facts above it and its notes below it, such as the test results of one board.

    title: printed above the table and as its bookmark. facts: of the board (designation, location, Zs, Ipf).
    rows: one cell for each column; where they are more than memory should hold, whatever yields them, for a
    writer that takes each once. tab: the name of its workbook sheet, ``title`` when empty. figure: drawn
    above the table in print, and told in words below it in the workbook.
    """

    title: str
    columns: tuple[Column, ...]
    rows: Iterable[tuple[Cell, ...]]
    facts: tuple[Fact, ...] = ()
    notes: tuple[str, ...] = ()
    tab: str = ""
    figure: Figure | None = None

    def __post_init__(self) -> None:
        if not self.columns:
            raise SheetError(f"Sheet “{self.title}” has no columns.")
        for number, row in enumerate(self.rows if isinstance(self.rows, tuple) else (), start=1):
            if len(row) != len(self.columns):
                raise SheetError(
                    f"Sheet “{self.title}”, row {number}: {len(row)} cells for {len(self.columns)} columns."
                )

    def groups(self) -> Iterator[tuple[str, int, int]]:
        """The upper heading row: each group's name, its first column, and the column after its last."""
        start = 0
        for name, members in groupby(self.columns, key=lambda column: column.group):
            end = start + len(list(members))
            yield name, start, end
            start = end


@dataclass(frozen=True, slots=True)
class Document:
    """Everything that leaves in one file.

    title: what it is. identity: one line that tells its pages from any other document's (number,
    installation, date). facts: of the whole (installation, address, inspected on). cautions: printed at the
    foot of the pages. key: what the marks in the cells mean. made_by: what produced it, and when. author:
    the firm. notice: what nobody may miss, on every page and sheet.
    """

    title: str
    sheets: tuple[Sheet, ...]
    subtitle: str = ""
    identity: str = ""
    facts: tuple[Fact, ...] = ()
    cautions: tuple[str, ...] = ()
    key: tuple[Fact, ...] = NOTATION
    made_by: str = ""
    author: str = ""
    notice: str = ""
    language: str = "en-GB"

    def noticed(self, text: str) -> str:
        """The text with the notice before it, where there is one."""
        return f"{self.notice}: {text}" if self.notice else text
