"""The limitations of an inspection as a sheet."""

from inspections.columns import Column, Kind
from inspections.enums import LimitationScope
from inspections.intake.tables import LIMITATIONS_TABLE
from inspections.models import Inspection, Limitation
from reports.sheets.sheet import Cell, Sheet

_WIDTHS_MM = {
    "board": 24, "circuits": 44, "tests": 50, "kind": 24, "reason": 90, "agreed_with": 36, "agreed_on": 22,
    "agreed_how": 30, "is_standing": 18,
}  # fmt: skip


def _column(name: str, width: float) -> Column:
    field = LIMITATIONS_TABLE.field(name)
    return Column(name, field.heading, Kind.TEXT, field.group, field.heading, field.unit, width)


COLUMNS = tuple(_column(name, width) for name, width in _WIDTHS_MM.items())


def limitations_sheet(inspection: Inspection) -> Sheet:
    """Every limitation, one a row; one that covers several boards has a row for each."""
    limitations = inspection.limitations.prefetch_related("boards", "circuits__board")
    rows = [
        tuple(_cell(limitation, column.name, board) for column in COLUMNS)
        for limitation in limitations
        for board in _boards(limitation)
    ]
    return Sheet(title="Limitations", columns=COLUMNS, rows=tuple(rows))


def _boards(limitation: Limitation) -> list[str]:
    if limitation.scope == LimitationScope.BOARDS:
        return [board.designation for board in limitation.boards.all()]
    return [""]


def _cell(limitation: Limitation, name: str, board: str) -> Cell:
    if name == "board":
        return board
    if name == "circuits":
        if limitation.scope == LimitationScope.CIRCUITS:
            return ", ".join(str(circuit) for circuit in limitation.circuits.all())
        return "all of the board" if board else "the whole installation"
    if name == "tests":
        return ", ".join(limitation.test_headings)
    if name == "kind":
        return limitation.get_kind_display()
    if name == "agreed_on":
        return limitation.agreed_on.isoformat() if limitation.agreed_on else ""
    if name == "is_standing":
        return "yes" if limitation.is_standing else "no"
    return getattr(limitation, name)
