"""What can be left across a circuit, with the electrical values that matter and how well each is known.

Units are in the names: ohm, farad, volt, watt, volt-ampere. Every value is for one item; ``count`` of them
stand in parallel.
"""

from dataclasses import dataclass
from enum import StrEnum

from remedies.physics.quantity import Span, microfarads, ohms

NOTHING = Span(0, 0, 0)
NEON_STRIKE_V = Span(65, 90, 135)  # d.c.; 90 and 135 are the published maxima of standard and bright lamps
NEON_MAINTAIN_V = Span(60, 70, 80)  # about 30 % below striking
VARISTOR_EXPONENT = Span(20, 30, 40)  # assumption; about 30 in the milliampere range


class Kind(StrEnum):
    """Kinds of parallel load, by the trade's words."""

    SUPPRESSION_CAPACITOR = "suppression_capacitor"
    RC_NETWORK = "rc_network"
    NEON = "neon"
    ACCESSORY_NEON = "accessory_neon"
    RESISTOR = "resistor"
    LOAD_MODULE = "load_module"
    WOUND_TRANSFORMER = "wound_transformer"
    DRIVER = "driver"
    DIMMER = "dimmer"
    TIMER = "timer"
    SENSOR = "sensor"
    SURGE_PROTECTION = "surge_protection"
    FIXED_EQUIPMENT = "fixed_equipment"
    UNKNOWN = "unknown"

    @property
    def label(self) -> str:
        return _LABELS[self]


_LABELS = {
    Kind.SUPPRESSION_CAPACITOR: "suppression capacitor",
    Kind.RC_NETWORK: "RC network",
    Kind.NEON: "neon with series resistor",
    Kind.ACCESSORY_NEON: "indicator neon in an accessory",
    Kind.RESISTOR: "resistor",
    Kind.LOAD_MODULE: "load module",
    Kind.WOUND_TRANSFORMER: "wire-wound transformer",
    Kind.DRIVER: "electronic transformer or LED driver",
    Kind.DIMMER: "dimmer or electronic switch",
    Kind.TIMER: "timer",
    Kind.SENSOR: "sensor",
    Kind.SURGE_PROTECTION: "surge protective device",
    Kind.FIXED_EQUIPMENT: "fixed equipment left connected",
    Kind.UNKNOWN: "load of unknown kind",
}

ELECTRONIC = frozenset({Kind.DRIVER, Kind.DIMMER, Kind.TIMER, Kind.SENSOR})


class Connection(StrEnum):
    """Between which conductors a load stands."""

    LINE_NEUTRAL = "L-N"
    SWITCHED_LINE_NEUTRAL = "switched L-N"
    LINE_EARTH = "L-E"
    NEUTRAL_EARTH = "N-E"
    LINE_LINE = "L-L"


class CapacitorClass(StrEnum):
    """Classes of IEC 60384-14: X across the supply, Y also from line to earth."""

    X1 = "X1"
    X2 = "X2"
    Y1 = "Y1"
    Y2 = "Y2"


class Basis(StrEnum):
    """Where a value comes from that was not recorded."""

    PUBLISHED = "published"
    MEMORY = "value from memory"
    ASSUMED = "assumption"


@dataclass(frozen=True, slots=True)
class Note:
    """A value that was not recorded and was filled in: what, from where, in words."""

    subject: str
    basis: Basis
    text: str

    def __str__(self) -> str:
        return f"{self.subject}: {self.text} ({self.basis.value})"


@dataclass(frozen=True, slots=True)
class Path:
    """How one item passes direct current: i = (V − threshold) / resistance once V is above the threshold.

    ``strike_v`` is set for a lamp that stays dark until it strikes and then holds down to ``threshold_v``.
    """

    resistance_ohm: Span
    threshold_v: Span = NOTHING
    strike_v: Span | None = None


@dataclass(frozen=True, slots=True)
class Varistor:
    """A varistor's law for direct current: i = 1 mA · (V / volts_at_1ma) ^ exponent."""

    volts_at_1ma: Span
    exponent: Span = VARISTOR_EXPONENT


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One kind of parallel load at one place; ``count`` equal items of it in parallel.

    ``name`` is what the register calls it, for working texts; ``notes`` say which values were filled in.
    """

    kind: Kind
    connection: Connection = Connection.LINE_NEUTRAL
    count: int = 1
    name: str = ""
    notes: tuple[Note, ...] = ()

    def __post_init__(self) -> None:
        if self.count < 1:
            raise ValueError(f"A {self.kind.label} has a count of at least 1; got {self.count}.")

    @property
    def title(self) -> str:
        """Its name or kind, with the count when there are several: ``3 × resistor``."""
        title = self.name or self.kind.label
        return f"{self.count} × {title}" if self.count > 1 else title

    @property
    def path(self) -> Path | None:
        """How one item passes direct current once settled; None when it passes none."""
        return None

    @property
    def varistor(self) -> Varistor | None:
        """The varistor in one item, if it has one."""
        return None

    @property
    def charging_f(self) -> Span | None:
        """The capacitance of one item that a tester must charge; None when there is none."""
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class SuppressionCapacitor(Part):
    """A capacitor for use across the supply, with or without its own discharge resistor (IEC 60384-14)."""

    kind: Kind = Kind.SUPPRESSION_CAPACITOR
    capacitance_f: Span
    rated_v: float = 275.0
    safety_class: CapacitorClass | None = None
    discharge_ohm: Span | None = None

    @property
    def path(self) -> Path | None:
        return Path(self.discharge_ohm) if self.discharge_ohm else None

    @property
    def charging_f(self) -> Span | None:
        return self.capacitance_f


@dataclass(frozen=True, slots=True, kw_only=True)
class RcNetwork(Part):
    """A resistor in series with a capacitor; ``discharge_ohm`` is a resistor across the capacitor, if any."""

    kind: Kind = Kind.RC_NETWORK
    resistance_ohm: Span
    capacitance_f: Span
    rated_v: float = 275.0
    discharge_ohm: Span | None = None

    @property
    def path(self) -> Path | None:
        return Path(self.resistance_ohm + self.discharge_ohm) if self.discharge_ohm else None

    @property
    def charging_f(self) -> Span | None:
        return self.capacitance_f


@dataclass(frozen=True, slots=True, kw_only=True)
class Neon(Part):
    """A neon with its series resistor: dark until it strikes, then it maintains a nearly constant voltage.

    ``strike_v`` and ``maintain_v`` are direct voltages at the terminals of lamp and resistor together.
    """

    kind: Kind = Kind.NEON
    series_ohm: Span
    strike_v: Span = NEON_STRIKE_V
    maintain_v: Span = NEON_MAINTAIN_V
    resistor_working_v: float | None = None
    resistor_rated_w: float | None = None

    @property
    def path(self) -> Path | None:
        return Path(self.series_ohm, self.maintain_v, self.strike_v)


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistor(Part):
    """A resistor, or several equal ones in series; resistance and ratings are those of each one."""

    kind: Kind = Kind.RESISTOR
    resistance_ohm: Span
    in_series: int = 1
    rated_w: float | None = None
    working_v: float | None = None

    @property
    def total_ohm(self) -> Span:
        return self.resistance_ohm.times(self.in_series)

    @property
    def path(self) -> Path | None:
        return Path(self.total_ohm)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadModule(Part):
    """A ready-made load for an LED circuit, taken as resistive; ``rated_w`` is what it takes at 230 V."""

    kind: Kind = Kind.LOAD_MODULE
    resistance_ohm: Span
    rated_w: float | None = None

    @property
    def path(self) -> Path | None:
        return Path(self.resistance_ohm)


@dataclass(frozen=True, slots=True, kw_only=True)
class WoundTransformer(Part):
    """A transformer or ballast with a winding straight across the supply."""

    kind: Kind = Kind.WOUND_TRANSFORMER
    winding_ohm: Span
    rated_va: float | None = None

    @property
    def path(self) -> Path | None:
        return Path(self.winding_ohm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Electronics(Part):
    """A rectifier, the capacitor behind it, and what bleeds it: driver, dimmer, timer or sensor."""

    bleed_ohm: Span
    reservoir_f: Span
    rectifier_drop_v: float = 1.2

    @property
    def path(self) -> Path | None:
        return Path(self.bleed_ohm, Span.exact(self.rectifier_drop_v))

    @property
    def charging_f(self) -> Span | None:
        return self.reservoir_f


@dataclass(frozen=True, slots=True, kw_only=True)
class SurgeProtection(Part):
    """A surge protective device: a varistor, or a gas gap that stays open at test voltages.

    ``continuous_v`` is its maximum continuous operating voltage Uc; ``gap``: a gas gap in series.
    """

    kind: Kind = Kind.SURGE_PROTECTION
    continuous_v: float
    law: Varistor
    gap: bool = False

    @property
    def varistor(self) -> Varistor | None:
        return None if self.gap else self.law


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment(Part):
    """Anything else left connected, known only by the resistance it may show."""

    kind: Kind = Kind.FIXED_EQUIPMENT
    resistance_ohm: Span

    @property
    def path(self) -> Path | None:
        return Path(self.resistance_ohm)


def describe(part: Part) -> str:
    """A part in one line for a working text: what it is and its value.

    >>> describe(Resistor(resistance_ohm=Span.within(47e3, 0.05), count=2))
    '2 × resistor, 47 kΩ each'
    """
    match part:
        case SuppressionCapacitor():
            value = microfarads(part.capacitance_f.typical)
            if part.discharge_ohm:
                value += f" with {ohms(part.discharge_ohm.typical)} across it"
        case RcNetwork():
            value = f"{ohms(part.resistance_ohm.typical)} and {microfarads(part.capacitance_f.typical)}"
        case Neon():
            value = ohms(part.series_ohm.typical)
        case Resistor():
            value = ohms(part.total_ohm.typical)
        case LoadModule() | Equipment():
            value = ohms(part.resistance_ohm.typical)
        case WoundTransformer():
            value = ohms(part.winding_ohm.typical)
        case Electronics():
            value = f"about {ohms(part.bleed_ohm.typical)} behind a rectifier"
        case SurgeProtection():
            value = f"Uc {part.continuous_v:g} V"
        case _:
            return part.title
    return f"{part.title}, {value} each" if part.count > 1 else f"{part.title}, {value}"
