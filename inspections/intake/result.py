"""What reading a file gives: boards, named rows, headings, notes and problems, with where each stood.

Everything here turns into plain JSON and back, so that a preview can be kept between two requests.
"""

from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from typing import Any

IGNORE = "ignore"
SCHEDULE, LIMITATIONS, LOADS = "schedule", "limitations", "loads"


class IntakeError(ValueError):
    """The file cannot be taken in at all. The message says what is wrong and what to do instead."""


def where(sheet: str, row: int, column: str) -> str:
    """A cell, a row or a sheet as people point at it: ``DB1!K7``.

    >>> where("DB1", 7, "K"), where("DB1", 7, ""), where("DB1", 0, "")
    ('DB1!K7', 'DB1, row 7', 'DB1')
    """
    if not row:
        return sheet
    return f"{sheet}!{column}{row}" if column else f"{sheet}, row {row}"


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing the person has to put right, with what to type instead."""

    sheet: str
    row: int
    column: str
    text: str

    @property
    def where(self) -> str:
        return where(self.sheet, self.row, self.column)

    def __str__(self) -> str:
        return f"{self.where}: {self.text}"


@dataclass(frozen=True, slots=True)
class IntakeCell:
    """One cell. text: as the record would keep it, empty when there is a problem. found: as it stood in the
    file. column: its letter. note: what was changed on the way in, for the person to see.
    """

    text: str
    found: str
    column: str
    problem: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class IntakeRow:
    """One row of a table. table: ``schedule``, ``limitations`` or ``loads``. board: index into the boards of
    the file, None when none is named. way, phase: of the circuit, phase L1, L2, L3, L123 or empty. cells: the
    cells that were not blank, by column name.
    """

    table: str
    sheet: str
    number: int
    board: int | None
    way: str
    phase: str
    cells: dict[str, IntakeCell]

    def problem(self, text: str, column: str = "") -> Problem:
        """Something to put right in this row, or in one of its cells."""
        return Problem(self.sheet, self.number, column, text)

    def problems(self) -> Iterator[Problem]:
        """Those of its cells, from the left."""
        for cell in sorted(self.cells.values(), key=lambda cell: (len(cell.column), cell.column)):
            if cell.problem:
                yield self.problem(cell.problem, cell.column)


@dataclass(frozen=True, slots=True)
class IntakeBoard:
    """A board as the file names it. designation is empty when it does not. facts, those that were there:
    ``ze_ohm``, ``zs_ohm`` (at the board), ``ipf_ka``, ``date`` (ISO), ``supplied_from``, ``main_switch``,
    ``phases``.
    """

    designation: str
    name: str
    sheet: str
    row: int
    facts: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class IntakeHeading:
    """One column of the file. name: the column it was taken for, None when it is not read. why: of either."""

    table: str
    sheet: str
    row: int
    column: str
    found: str
    group: str
    name: str | None
    why: str
    problem: str | None = None


@dataclass(frozen=True, slots=True)
class IntakeNote:
    """Words of the file that are not a row. kind: ``title``, ``remark``, ``count`` or ``file``.

    limitation: the words may say why something was not tested, so they are offered as a limitation's reason.
    """

    kind: str
    sheet: str
    row: int
    column: str
    text: str
    board: int | None = None
    limitation: bool = False


@dataclass(frozen=True, slots=True)
class Mapping:
    """The person's own choice for a column: (sheet, letter) to a column name, or to ``ignore``."""

    columns: dict[tuple[str, str], str] = field(default_factory=dict)

    def of_sheet(self, sheet: str) -> dict[str, str]:
        return {letter.upper(): name for (title, letter), name in self.columns.items() if title == sheet}

    def to_dict(self) -> dict[str, Any]:
        return {"columns": [[sheet, letter, name] for (sheet, letter), name in self.columns.items()]}

    @classmethod
    def from_dict(cls, kept: dict[str, Any]) -> "Mapping":
        return cls({(sheet, letter): name for sheet, letter, name in kept["columns"]})


@dataclass(frozen=True, slots=True)
class IntakeFile:
    """A file read to its end. other_problems: those of boards, headings and sheets, which no cell holds."""

    name: str
    boards: tuple[IntakeBoard, ...]
    rows: tuple[IntakeRow, ...]
    headings: tuple[IntakeHeading, ...]
    notes: tuple[IntakeNote, ...]
    other_problems: tuple[Problem, ...]

    @property
    def problems(self) -> tuple[Problem, ...]:
        """All of them: of the sheets and boards, of the headings, then of the rows in file order."""
        headings = (
            Problem(heading.sheet, heading.row, heading.column, heading.problem)
            for heading in self.headings
            if heading.problem
        )
        rows = (problem for row in self.rows for problem in row.problems())
        return (*self.other_problems, *headings, *rows)

    def of(self, table: str) -> tuple[IntakeRow, ...]:
        return tuple(row for row in self.rows if row.table == table)

    def to_dict(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_dict(cls, kept: dict[str, Any]) -> "IntakeFile":
        return cls(
            name=kept["name"],
            boards=tuple(IntakeBoard(**board) for board in kept["boards"]),
            rows=tuple(
                IntakeRow(
                    **{**row, "cells": {name: IntakeCell(**cell) for name, cell in row["cells"].items()}}
                )
                for row in kept["rows"]
            ),
            headings=tuple(IntakeHeading(**heading) for heading in kept["headings"]),
            notes=tuple(IntakeNote(**note) for note in kept["notes"]),
            other_problems=tuple(Problem(**problem) for problem in kept["other_problems"]),
        )
