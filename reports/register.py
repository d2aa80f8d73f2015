"""The load register as a sheet: every load of an installation, in place and taken out."""

from datetime import date
from decimal import Decimal
from types import SimpleNamespace

from inspections.columns import Column, Kind
from inspections.intake.tables import LOADS_TABLE
from remedies.enums import Connection
from remedies.wording import values_in_words
from reports.sheets.sheet import Cell, Sheet
from reports.words import Content

# Name of the column on intake, and its width on paper; the order is that of the sheet.
_WIDTHS_MM = {
    "board": 16, "circuit": 17, "kind": 34, "count": 17, "value": 40, "connection": 26, "place": 46,
    "access": 38, "access_minutes": 20, "is_hidden": 18, "reason": 36, "state": 31, "origin": 22, "since": 31,
    "taken_out_on": 31, "taken_out_by": 24, "remarks": 45,
}  # fmt: skip
_FIGURES = {"count", "access_minutes"}
_CHOICES = {"kind", "state", "origin"}
_DAYS = {"since", "taken_out_on"}
_VALUES = (
    "capacitance_uf", "resistance_ohm", "resistors_in_series", "discharge_resistor_ohm", "rated_voltage_v",
    "rated_power_w",
)  # fmt: skip


def _column(name: str, width: float) -> Column:
    # The headings are those that intake knows, so that our own workbook comes back in.
    field = LOADS_TABLE.field(name)
    kind = Kind.WHOLE if name in _FIGURES else Kind.TEXT
    return Column(name, field.heading, kind, field.group, field.heading, field.unit, width)


COLUMNS = tuple(_column(name, width) for name, width in _WIDTHS_MM.items())


def load_register_sheet(content: Content) -> Sheet:
    """Every load of the installation, as it stood."""
    return Sheet(
        title="Load register",
        columns=COLUMNS,
        rows=tuple(
            tuple(_cell(load, column.name) for column in COLUMNS) for load in content["load_register"]
        ),
    )


def _cell(load: Content, name: str) -> Cell:
    if name in ("board", "circuit"):
        board, _, circuit = load["circuit_words"].rpartition("/")
        return board if name == "board" else circuit
    if name == "connection":
        return Connection(load["connection"]["key"]).brief
    if name in _CHOICES:
        return load[name]["words"]
    if name == "value":
        return " ".join(filter(None, (load["capacitor_class"], _values(load))))
    value = load[name]
    if isinstance(value, bool):
        return "yes" if value else "no"
    if name in _FIGURES:
        return int(value) if value else ""
    if name in _DAYS:
        return date.fromisoformat(value) if value else ""
    return value or ""


def _values(load: Content) -> str:
    values = {name: Decimal(load[name]) if load[name] else None for name in _VALUES}
    return values_in_words(SimpleNamespace(kind=load["kind"]["key"], **values))
