"""The three kinds of table that are read, and the columns of each.

The schedule's columns are those of ``inspections.columns``. The load register belongs to another part of the
program; here stand only the headings and words that its sheet is known by, and a test holds the two together.
"""

from dataclasses import dataclass
from enum import StrEnum

from inspections.columns import BY_NAME, DEVICE, RCD, READINGS, Column
from inspections.intake.result import LIMITATIONS, LOADS, SCHEDULE


class FieldKind(StrEnum):
    TEXT = "text"
    WHOLE = "whole number"
    DECIMAL = "decimal"
    READING = "reading"
    TICK = "tick"
    DATE = "date"
    CHOICE = "choice"
    YES_NO = "yes or no"
    TESTS = "tests"  # names of result columns
    CIRCUIT = "circuit"  # way and phase
    STANDARD = "standard"


@dataclass(frozen=True, slots=True)
class Field:
    """A column that can be read. group, unit, spellings: as in Column. choices: each value with the words
    that mean it, in lower case."""

    name: str
    heading: str
    kind: FieldKind
    group: str = ""
    unit: str = ""
    spellings: tuple[str, ...] = ()
    choices: tuple[tuple[str, tuple[str, ...]], ...] = ()

    @property
    def title(self) -> str:
        return f"{self.heading} ({self.unit})" if self.unit else self.heading

    @property
    def dash_is_not_applicable(self) -> bool:
        return self.group in (DEVICE, RCD) or self.kind in (FieldKind.READING, FieldKind.TICK)


@dataclass(frozen=True, slots=True)
class Table:
    """A kind of table. any_of: sets of names; headings are this table's when each set has one among them."""

    kind: str
    title: str
    fields: tuple[Field, ...]
    any_of: tuple[frozenset[str], ...]

    def field(self, name: str) -> Field | None:
        return next((field for field in self.fields if field.name == name), None)


_OF_COLUMN = {
    "designation": FieldKind.CIRCUIT,
    "device_standard": FieldKind.STANDARD,
    "rcd_standard": FieldKind.STANDARD,
}
# What a sheet from outside also calls a column, where only another column beside it tells which is meant.
_ALSO = {
    "description": ("circuit", "circuit details", "location served"),
    "points": ("no of points served",),
    "rcd_residual_ma": ("i?n", "rating"),
    "live_csa_mm2": ("live conductors csa", "csa live", "size live"),
    "cpc_csa_mm2": ("csa cpc", "size cpc", "cpc size", "protective conductor"),
    "device_rating_a": ("rating amps", "amps"),
    "zs": ("zs max measured", "max measured", "zs reading", "measured earth fault loop impedance"),
    "max_zs_ohm": ("zs max permitted", "zs max allowed", "max zs allowed", "zs permitted", "zs maximum"),
    "rcd_trip_ms": ("disconnection time", "ms", "trip time at i?n", "time at idn", "trip time at idn"),
    "rcd_button": ("button", "test"),
    "ir_live_live": ("l-l/l-n", "live to live insulation", "line-line"),
    "polarity": ("polarity tick", "polarity check"),
}
_BOARD = Field(
    "board",
    "Board",
    FieldKind.TEXT,
    spellings=(
        "distribution board",
        "db",
        "dis board",
        "consumer unit",
        "board ref",
        "board reference",
        "board no",
        "board designation",
        "db ref",
        "db no",
    ),
)
_PHASE = Field(
    "phase", "Phase", FieldKind.TEXT, spellings=("ph", "phases", "line conductor", "circuit phase")
)


def _of_column(column: Column) -> Field:
    kind = _OF_COLUMN.get(column.name) or FieldKind(column.kind.value)
    spellings = column.spellings + _ALSO.get(column.name, ())
    return Field(column.name, column.heading, kind, column.group, column.unit, spellings)


_CIRCUIT = Field(
    "circuit",
    "Circuit",
    FieldKind.CIRCUIT,
    spellings=("circuit no", "circuit number", "way", "circuit ref", "cct", "no", "circuit and board"),
)

SCHEDULE_TABLE = Table(
    SCHEDULE,
    "schedule of circuits",
    (_BOARD, _PHASE, *(_of_column(column) for column in BY_NAME.values())),
    (frozenset({"designation", "description"}),),
)

LIMITATIONS_TABLE = Table(
    LIMITATIONS,
    "limitations",
    (
        _BOARD,
        Field(
            "circuits",
            "Circuits",
            FieldKind.TEXT,
            spellings=("circuit", "circuit no", "circuits affected", "extent", "applies to", "where"),
        ),
        Field(
            "tests",
            "Tests",
            FieldKind.TESTS,
            spellings=(
                "test",
                "tests not done",
                "test not done",
                "test limited",
                "tests limited",
                "readings",
            ),
        ),
        Field(
            "kind",
            "Kind",
            FieldKind.CHOICE,
            spellings=(
                "type",
                "limitation",
                "agreed or operational",
                "agreed/operational",
                "kind of limitation",
            ),
            choices=(
                ("agreed", ("agreed", "a", "agreed limitation")),
                ("operational", ("operational", "o", "op")),
            ),
        ),
        Field("reason", "Reason", FieldKind.TEXT, spellings=("reasons", "why", "reason for limitation")),
        Field(
            "agreed_with",
            "Agreed with",
            FieldKind.TEXT,
            spellings=("agreed by", "with whom", "agreed with whom"),
        ),
        Field("agreed_on", "Agreed on", FieldKind.DATE, spellings=("date agreed", "agreed date", "date")),
        Field("agreed_how", "How agreed", FieldKind.TEXT, spellings=("agreed how",)),
        Field(
            "is_standing",
            "Standing",
            FieldKind.YES_NO,
            spellings=("standing limitation", "stands", "stands until lifted", "carried forward"),
        ),
    ),
    (frozenset({"reason"}), frozenset({"circuits", "tests", "kind"})),
)

LOADS_TABLE = Table(
    LOADS,
    "parallel loads",
    (
        _BOARD,
        _CIRCUIT,
        Field(
            "kind",
            "Kind",
            FieldKind.CHOICE,
            spellings=(
                "load",
                "parallel load",
                "kind of load",
                "type of load",
                "type",
                "what",
                "component",
                "part",
            ),
            choices=(
                ("capacitor", ("suppression capacitor", "capacitor x2", "suppressor capacitor")),
                (
                    "rc_network",
                    ("rc network", "resistor and capacitor in series", "rc", "snubber", "contact suppressor"),
                ),
                ("neon", ("neon with series resistor", "neon lamp", "neon bulb")),
                (
                    "indicator",
                    ("indicator neon in an accessory", "indicator neon", "neon indicator", "pilot lamp"),
                ),
                ("resistor", ("wirewound resistor", "bleed resistor", "bleeder resistor")),
                ("load_module", ("load module", "bypass module", "bypass load", "load bypass")),
                (
                    "transformer",
                    ("wire-wound transformer", "wirewound transformer", "wire wound transformer"),
                ),
                ("driver", ("electronic transformer or led driver", "electronic transformer", "led driver")),
                ("dimmer", ("dimmer or electronic switch", "electronic switch", "dimmer switch")),
                ("timer", ("time switch", "timeswitch")),
                ("sensor", ("pir", "presence detector", "motion sensor")),
                ("surge", ("surge protective device", "spd", "surge protection", "surge protection device")),
                ("equipment", ("fixed equipment left connected", "fixed equipment", "appliance")),
                ("unknown", ("not yet known", "not known", "?")),
            ),
        ),
        Field(
            "count", "Count", FieldKind.WHOLE, spellings=("how many", "number", "quantity", "qty", "no off")
        ),
        Field(
            "value", "Value", FieldKind.TEXT, spellings=("values", "electrical values", "rating", "ratings")
        ),
        Field(
            "capacitor_class",
            "Class",
            FieldKind.CHOICE,
            spellings=("capacitor class", "x or y class", "suppression class"),
            choices=tuple((name, (name.lower(),)) for name in ("X1", "X2", "Y1", "Y2")),
        ),
        Field("capacitance_uf", "Capacitance", FieldKind.DECIMAL, unit="µF", spellings=("c", "cap")),
        Field(
            "resistance_ohm", "Resistance", FieldKind.DECIMAL, unit="Ω", spellings=("r", "resistance of one")
        ),
        Field("resistors_in_series", "Resistors in series", FieldKind.WHOLE, spellings=("in series",)),
        Field("discharge_resistor_ohm", "Discharge resistor", FieldKind.DECIMAL, unit="Ω"),
        Field("tolerance_percent", "Tolerance", FieldKind.DECIMAL, unit="%", spellings=("tolerance ±",)),
        Field(
            "rated_voltage_v",
            "Rated voltage",
            FieldKind.WHOLE,
            unit="V",
            spellings=("voltage", "rated or continuous voltage", "continuous voltage"),
        ),
        Field("rated_power_w", "Rated power", FieldKind.DECIMAL, unit="W", spellings=("power",)),
        Field(
            "connection",
            "Connection",
            FieldKind.CHOICE,
            spellings=("connected", "connected between", "between", "across"),
            choices=(
                ("L-N", ("l/n", "ln", "line-neutral", "line to neutral", "live-neutral", "live to neutral")),
                (
                    "SL-N",
                    (
                        "switched l-n",
                        "sl/n",
                        "switched line to neutral",
                        "switched line-neutral",
                        "switched live-neutral",
                    ),
                ),
                ("L-E", ("l/e", "le", "line-earth", "line to earth", "live to earth", "l-pe", "live-earth")),
                ("N-E", ("n/e", "ne", "neutral-earth", "neutral to earth", "n-pe")),
                ("L-L", ("l/l", "ll", "line-line", "line to line")),
            ),
        ),
        Field(
            "place",
            "Place",
            FieldKind.TEXT,
            spellings=("where", "where exactly", "location", "position", "at", "fitted at"),
        ),
        Field(
            "access", "Access", FieldKind.TEXT, spellings=("how to get at it", "getting at it", "access by")
        ),
        Field(
            "access_minutes",
            "Minutes",
            FieldKind.WHOLE,
            unit="min",
            spellings=(
                "minutes to get at and disconnect",
                "access minutes",
                "time to disconnect",
                "access time",
            ),
        ),
        Field("is_hidden", "Hidden", FieldKind.YES_NO, spellings=("hidden or not", "concealed")),
        Field(
            "reason", "Why", FieldKind.TEXT, spellings=("reason", "why it is there", "why fitted", "purpose")
        ),
        Field(
            "state",
            "State",
            FieldKind.CHOICE,
            spellings=("status", "in place or taken out"),
            choices=(
                ("suspected", ("suspected",)),
                ("in_place", ("in place", "fitted", "connected", "present")),
                ("disconnected", ("disconnected for test", "disconnected")),
                ("taken_out", ("taken out", "removed")),
            ),
        ),
        Field(
            "origin",
            "Fitted or found",
            FieldKind.CHOICE,
            spellings=("origin",),
            choices=(("fitted", ("fitted by us", "by us")), ("found", ("found there",))),
        ),
        Field(
            "since",
            "Fitted or found on",
            FieldKind.DATE,
            spellings=(
                "fitted/found on",
                "fitted on",
                "found on",
                "since",
                "date fitted",
                "date found",
                "date",
            ),
        ),
        Field(
            "taken_out_on",
            "Taken out on",
            FieldKind.DATE,
            spellings=("taken out", "removed on", "date taken out"),
        ),
        Field("taken_out_by", "Taken out by", FieldKind.TEXT, spellings=("removed by",)),
        Field("remarks", "Remarks", FieldKind.TEXT, spellings=("comments", "notes", "note")),
    ),
    (frozenset({"kind"}), frozenset({"connection", "place", "value", "capacitance_uf", "resistance_ohm"})),
)

TABLES: tuple[Table, ...] = (SCHEDULE_TABLE, LIMITATIONS_TABLE, LOADS_TABLE)
RESULT_NAMES: tuple[str, ...] = tuple(column.name for column in READINGS)
