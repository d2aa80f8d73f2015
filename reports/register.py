"""The load register as a sheet: every load of an installation, in place and taken out."""

from inspections.columns import Column, Kind
from inspections.intake.tables import LOADS_TABLE
from inspections.models import Installation
from remedies.enums import Connection
from remedies.models import ParallelLoad
from remedies.selectors import ALL_STATES, RegisterFilter, installation_register
from remedies.wording import values_in_words
from reports.sheets.sheet import Cell, Sheet

# Name of the column on intake, and its width on paper; the order is that of the sheet.
_WIDTHS_MM = {
    "board": 16, "circuit": 17, "kind": 36, "count": 17, "value": 42, "connection": 26, "place": 46,
    "access": 40, "access_minutes": 20, "is_hidden": 18, "reason": 36, "state": 30, "origin": 22, "since": 25,
    "taken_out_on": 25, "taken_out_by": 24, "remarks": 36,
}  # fmt: skip
# Short enough for a narrow column, and known to intake.
_CONNECTIONS = {name: name for name in Connection.values} | {Connection.SWITCHED_L_N: "switched L-N"}
_FIGURES = {"count", "access_minutes"}


def _column(name: str, width: float) -> Column:
    # The headings are those that intake knows, so that our own workbook comes back in.
    field = LOADS_TABLE.field(name)
    kind = Kind.WHOLE if name in _FIGURES else Kind.TEXT
    return Column(name, field.heading, kind, field.group, field.heading, field.unit, width)


COLUMNS = tuple(_column(name, width) for name, width in _WIDTHS_MM.items())


def load_register_sheet(installation: Installation) -> Sheet:
    """Every load of the installation, as it stands today."""
    loads = installation_register(installation, RegisterFilter(state=ALL_STATES))
    return Sheet(
        title="Load register",
        columns=COLUMNS,
        rows=tuple(tuple(_cell(load, column.name) for column in COLUMNS) for load in loads),
    )


def _cell(load: ParallelLoad, name: str) -> Cell:
    if name == "board":
        return load.circuit.board.designation
    if name == "circuit":
        return load.circuit.designation
    if name == "connection":
        return _CONNECTIONS[load.connection]
    if name in ("kind", "state", "origin"):
        return getattr(load, f"get_{name}_display")()
    if name == "value":
        return " ".join(part for part in (load.capacitor_class, values_in_words(load)) if part)
    value = getattr(load, name)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if name in ("since", "taken_out_on"):
        return value.isoformat() if value else ""
    return "" if value is None else value
