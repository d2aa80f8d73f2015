"""The limitations of an inspection as a sheet."""

from collections.abc import Mapping
from datetime import date

from inspections.columns import Column, Kind
from inspections.enums import LimitationScope
from inspections.intake.tables import LIMITATIONS_TABLE
from reports.sheets.sheet import Cell, Sheet
from reports.words import Content

_WIDTHS_MM = {
    "board": 24, "circuits": 44, "tests": 50, "kind": 24, "reason": 90, "agreed_with": 36, "agreed_on": 22,
    "agreed_how": 30, "is_standing": 18,
}  # fmt: skip


def _column(name: str, width: float) -> Column:
    field = LIMITATIONS_TABLE.field(name)
    return Column(name, field.heading, Kind.TEXT, field.group, field.heading, field.unit, width)


COLUMNS = tuple(_column(name, width) for name, width in _WIDTHS_MM.items())


def limitations_sheet(content: Content) -> Sheet:
    """Every limitation, one a row; one that covers several boards has a row for each."""
    designations = {board["number"]: board["designation"] for board in content["boards"]}
    rows = [
        tuple(_cell(limitation, column.name, board) for column in COLUMNS)
        for limitation in content["limitations"]
        for board in _boards(limitation, designations)
    ]
    return Sheet(title="Limitations", columns=COLUMNS, rows=tuple(rows))


def _boards(limitation: Content, designations: Mapping[int, str]) -> list[str]:
    if limitation["scope"]["key"] == LimitationScope.BOARDS:
        return [designations[number] for number in limitation["boards"]]
    return [""]


def _cell(limitation: Content, name: str, board: str) -> Cell:
    if name == "board":
        return board
    if name == "circuits":
        if limitation["scope"]["key"] == LimitationScope.CIRCUITS:
            return limitation["where"]
        return "all of the board" if board else "the whole installation"
    if name == "tests":
        return ", ".join(limitation["tests_words"])
    if name == "kind":
        return limitation["kind"]["words"]
    if name == "is_standing":
        return "yes" if limitation["is_standing"] else "no"
    if name == "agreed_on":
        return date.fromisoformat(limitation[name]) if limitation[name] else ""
    return limitation[name] or ""
