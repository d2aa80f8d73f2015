"""A load as the register holds it, to the part it is.

An entry may hold nothing but a kind. Typical values are then filled in, wide enough to be honest, and the
part carries a note for each. None is that of a make or model.
"""

from dataclasses import dataclass, replace

from remedies.physics.parts import (
    Basis,
    CapacitorClass,
    Connection,
    Electronics,
    Equipment,
    Kind,
    LoadModule,
    Neon,
    Note,
    Part,
    RcNetwork,
    Resistor,
    SuppressionCapacitor,
    SurgeProtection,
    Varistor,
    WoundTransformer,
)
from remedies.physics.quantity import Span, ohms

MAINS_V = 230.0  # nominal line to neutral voltage, used only to turn rated watts into ohms

# Tolerances of recorded values. IEC 60062 codes: J ±5 %, K ±10 %, M ±20 %.
RESISTOR_TOLERANCE = 0.05  # assumption: code J, the commonest
CAPACITOR_TOLERANCE = 0.20  # assumption: code M, the widest usual one
MODULE_TOLERANCE = 0.15  # assumption

# Published varistor voltages at 1 mA d.c. by Uc; other ratings follow their common ratio. Tolerance ±10 %.
_VARISTOR_V = {275.0: 430.0, 300.0: 470.0, 320.0: 510.0}
_VARISTOR_RATIO = 1.57
VARISTOR_TOLERANCE = 0.10

# 230 V windings of 15 to 300 VA: resistance × rating is 1500 to 3000 Ω·VA (value from memory).
WINDING_OHM_VA = 2500.0
WINDING_TOLERANCE = 0.10  # copper between −5 °C and 45 °C


@dataclass(frozen=True, slots=True)
class _Default:
    value: Span
    basis: Basis
    text: str


_NEON_SERIES = _Default(Span(120e3, 220e3, 520e3), Basis.MEMORY, "150 kΩ to 470 kΩ ± 10 %, usually 220 kΩ")
_RESISTANCE: dict[Kind, _Default] = {
    Kind.RC_NETWORK: _Default(Span(47, 100, 220), Basis.MEMORY, "47 Ω to 220 Ω"),
    Kind.NEON: _NEON_SERIES,
    Kind.ACCESSORY_NEON: _NEON_SERIES,
    Kind.RESISTOR: _Default(Span(22e3, 100e3, 470e3), Basis.ASSUMED, "22 kΩ to 470 kΩ"),
    Kind.LOAD_MODULE: _Default(Span(5e3, 33e3, 150e3), Basis.ASSUMED, "5 kΩ to 150 kΩ, taken as resistive"),
    Kind.WOUND_TRANSFORMER: _Default(Span(3, 50, 400), Basis.MEMORY, "3 Ω to 400 Ω, by size"),
    Kind.DRIVER: _Default(Span(100e3, 300e3, 1e6), Basis.MEMORY, "100 kΩ to 1 MΩ behind a rectifier"),
    Kind.DIMMER: _Default(Span(5e3, 200e3, 10e6), Basis.ASSUMED, "5 kΩ to 10 MΩ, not steady"),
    Kind.TIMER: _Default(Span(5e3, 300e3, 5e6), Basis.ASSUMED, "5 kΩ (motor) to 5 MΩ (electronic)"),
    Kind.SENSOR: _Default(Span(50e3, 500e3, 5e6), Basis.ASSUMED, "50 kΩ to 5 MΩ behind a rectifier"),
    Kind.FIXED_EQUIPMENT: _Default(Span(10, 100, 1e6), Basis.ASSUMED, "10 Ω to 1 MΩ, by what it is"),
    Kind.UNKNOWN: _Default(Span(10, 200e3, float("inf")), Basis.ASSUMED, "anything from a winding to open"),
}

_CAPACITANCE: dict[Kind, _Default] = {
    Kind.SUPPRESSION_CAPACITOR: _Default(
        Span(0.022e-6, 0.1e-6, 0.47e-6), Basis.MEMORY, "0.022 µF to 0.47 µF, usually 0.1 µF"
    ),
    Kind.RC_NETWORK: _Default(Span(0.022e-6, 0.1e-6, 0.47e-6), Basis.MEMORY, "0.022 µF to 0.47 µF"),
    Kind.DRIVER: _Default(
        Span(0.047e-6, 4.7e-6, 47e-6), Basis.ASSUMED, "0.047 µF to 47 µF behind a rectifier"
    ),
    Kind.DIMMER: _Default(Span(0.022e-6, 0.1e-6, 1e-6), Basis.ASSUMED, "0.022 µF to 1 µF"),
    Kind.TIMER: _Default(Span(0.1e-6, 0.33e-6, 1e-6), Basis.ASSUMED, "0.1 µF to 1 µF"),
    Kind.SENSOR: _Default(Span(0.1e-6, 0.33e-6, 1e-6), Basis.ASSUMED, "0.1 µF to 1 µF"),
}


@dataclass(frozen=True, slots=True)
class RegisterEntry:
    """A load as the register holds it. Everything but the kind may be missing.

    resistance_ohm: of the resistor, the neon's series resistor, the winding or the electronics, each in Ω.
    capacitance_uf: in µF. discharge_ohm: resistor across a capacitor. in_series: equal resistors in series.
    rated_v: a.c. rating of a capacitor. rated_w: of a resistor, or what a module or equipment takes at 230 V.
    rated_va: of a transformer. working_v: limit of a resistor. continuous_v: Uc of surge protection.
    tolerance: a fraction, of the recorded resistance and capacitance. gap: a gas gap in surge protection.
    Raises ValueError for a value that is not above zero, or a word that is no kind, connection or class.
    """

    kind: Kind | str
    connection: Connection | str = Connection.LINE_NEUTRAL
    count: int = 1
    name: str = ""
    resistance_ohm: float | None = None
    capacitance_uf: float | None = None
    discharge_ohm: float | None = None
    in_series: int = 1
    rated_v: float | None = None
    rated_w: float | None = None
    rated_va: float | None = None
    working_v: float | None = None
    capacitor_class: CapacitorClass | str = ""
    continuous_v: float | None = None
    tolerance: float | None = None
    gap: bool = False

    def __post_init__(self) -> None:
        for field in _ABOVE_ZERO:
            value = getattr(self, field)
            if value is not None and not value > 0:
                raise ValueError(
                    f"{field} must be above zero; got {value}. Leave it empty if it is not known."
                )


_ABOVE_ZERO = (
    "count",
    "resistance_ohm",
    "capacitance_uf",
    "discharge_ohm",
    "in_series",
    "rated_v",
    "rated_w",
    "rated_va",
    "working_v",
    "continuous_v",
    "tolerance",
)


def from_register(entry: RegisterEntry) -> Part:
    """The part a register entry describes; a typical value is filled in for each missing one, and noted.

    >>> from_register(RegisterEntry("resistor", resistance_ohm=220_000)).path.resistance_ohm.low
    209000.0
    >>> for note in from_register(RegisterEntry("suppression_capacitor")).notes:
    ...     print(note)
    capacitance: 0.022 µF to 0.47 µF, usually 0.1 µF (value from memory)
    rated voltage: 275 V a.c. (assumption)
    discharge resistor: none (assumption)
    """
    kind = Kind(entry.kind)
    filling = _Filling(entry, kind)
    part = _build(filling)
    return replace(
        part,
        kind=kind,
        connection=Connection(entry.connection),
        count=entry.count,
        name=entry.name,
        notes=tuple(filling.notes),
    )


class _Filling:
    """Takes each value from the entry or from the typical ones, and notes the latter."""

    def __init__(self, entry: RegisterEntry, kind: Kind) -> None:
        self.entry = entry
        self.kind = kind
        self.notes: list[Note] = []

    def note(self, subject: str, basis: Basis, text: str) -> None:
        self.notes.append(Note(subject, basis, text))

    def recorded(self, value: float, usual_tolerance: float) -> Span:
        tolerance = self.entry.tolerance
        return Span.within(value, usual_tolerance if tolerance is None else tolerance)

    def typical(self, subject: str, defaults: dict[Kind, _Default]) -> Span:
        default = defaults[self.kind]
        self.note(subject, default.basis, default.text)
        return default.value

    def resistance(self, usual_tolerance: float = RESISTOR_TOLERANCE) -> Span:
        if self.entry.resistance_ohm is None:
            return self.typical("resistance", _RESISTANCE)
        return self.recorded(self.entry.resistance_ohm, usual_tolerance)

    def resistance_or_watts(self) -> Span:
        watts = self.entry.rated_w
        if self.entry.resistance_ohm is not None or watts is None:
            return self.resistance(MODULE_TOLERANCE)
        ohm = MAINS_V**2 / watts
        self.note("resistance", Basis.ASSUMED, f"230² / {watts:g} W = {ohms(ohm)}, taken as resistive")
        return self.recorded(ohm, MODULE_TOLERANCE)

    def capacitance(self) -> Span:
        if self.entry.capacitance_uf is None:
            return self.typical("capacitance", _CAPACITANCE)
        return self.recorded(self.entry.capacitance_uf * 1e-6, CAPACITOR_TOLERANCE)

    def capacitor_rating(self) -> float:
        if self.entry.rated_v is None:
            self.note("rated voltage", Basis.ASSUMED, "275 V a.c.")
            return 275.0
        return self.entry.rated_v

    def discharge(self) -> Span | None:
        if self.entry.discharge_ohm is None:
            self.note("discharge resistor", Basis.ASSUMED, "none")
            return None
        return self.recorded(self.entry.discharge_ohm, RESISTOR_TOLERANCE)

    def winding(self) -> Span:
        if self.entry.resistance_ohm is not None:
            return self.recorded(self.entry.resistance_ohm, WINDING_TOLERANCE)
        if self.entry.rated_va is None:
            return self.typical("winding", _RESISTANCE)
        ohm = WINDING_OHM_VA / self.entry.rated_va
        size = f"{WINDING_OHM_VA:g} Ω·VA / {self.entry.rated_va:g} VA = {ohms(ohm)}, half to twice that"
        self.note("winding", Basis.MEMORY, size)
        return Span(ohm / 2, ohm, ohm * 2)

    def continuous_v(self) -> float:
        if self.entry.continuous_v is None:
            self.note("continuous voltage Uc", Basis.ASSUMED, "275 V a.c.")
            return 275.0
        return self.entry.continuous_v

    def varistor(self, continuous_v: float) -> Varistor:
        volts = _VARISTOR_V.get(continuous_v, continuous_v * _VARISTOR_RATIO)
        basis = Basis.PUBLISHED if continuous_v in _VARISTOR_V else Basis.ASSUMED
        self.note("varistor voltage", basis, f"{volts:.0f} V ± 10 % at 1 mA d.c. for Uc {continuous_v:g} V")
        return Varistor(Span.within(volts, VARISTOR_TOLERANCE))


def _build(filling: _Filling) -> Part:
    entry = filling.entry
    match filling.kind:
        case Kind.SUPPRESSION_CAPACITOR:
            return SuppressionCapacitor(
                capacitance_f=filling.capacitance(),
                rated_v=filling.capacitor_rating(),
                safety_class=CapacitorClass(entry.capacitor_class) if entry.capacitor_class else None,
                discharge_ohm=filling.discharge(),
            )
        case Kind.RC_NETWORK:
            return RcNetwork(
                resistance_ohm=filling.resistance(),
                capacitance_f=filling.capacitance(),
                rated_v=filling.capacitor_rating(),
                discharge_ohm=filling.discharge(),
            )
        case Kind.NEON | Kind.ACCESSORY_NEON:
            filling.note("striking voltage", Basis.PUBLISHED, "90 V d.c. or less; bright lamps 135 V")
            filling.note("maintaining voltage", Basis.PUBLISHED, "60 V to 70 V; taken up to 80 V at d.c.")
            return Neon(
                series_ohm=filling.resistance(),
                resistor_working_v=entry.working_v,
                resistor_rated_w=entry.rated_w,
            )
        case Kind.RESISTOR:
            return Resistor(
                resistance_ohm=filling.resistance(),
                in_series=entry.in_series,
                rated_w=entry.rated_w,
                working_v=entry.working_v,
            )
        case Kind.LOAD_MODULE:
            return LoadModule(resistance_ohm=filling.resistance_or_watts(), rated_w=entry.rated_w)
        case Kind.WOUND_TRANSFORMER:
            return WoundTransformer(winding_ohm=filling.winding(), rated_va=entry.rated_va)
        case Kind.DRIVER | Kind.DIMMER | Kind.TIMER | Kind.SENSOR:
            return Electronics(
                kind=filling.kind,
                bleed_ohm=filling.resistance(MODULE_TOLERANCE),
                reservoir_f=filling.capacitance(),
            )
        case Kind.SURGE_PROTECTION:
            continuous_v = filling.continuous_v()
            return SurgeProtection(
                continuous_v=continuous_v, law=filling.varistor(continuous_v), gap=entry.gap
            )
        case Kind.FIXED_EQUIPMENT | Kind.UNKNOWN:
            return Equipment(resistance_ohm=filling.resistance_or_watts())
