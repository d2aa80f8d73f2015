"""One part left across a lamp against its glow: what it does off, on, when it fails, and to the next test.

Off, the part's admittance joins the stray source: V = Isc / |Y + Yx|; a neon is computed event by event.
On, see ``operating``. A part used beyond its rating is refused with the working; the verdict on anything else
is the electrician's. Volts and amperes are r.m.s.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from remedies.physics import damage, neon
from remedies.physics.checked import InputError, number
from remedies.physics.insulation_test import SOUND_CABLE_MOHM, ExpectedReading, expected_readings
from remedies.physics.operating import FIGURES, Conditions, Draw, OnState, admittance, lamps, on_state
from remedies.physics.parts import (
    Connection,
    LoadModule,
    Neon,
    Part,
    RcNetwork,
    Resistor,
    SuppressionCapacitor,
    describe,
)
from remedies.physics.quantity import Span, engineering, significant
from remedies.physics.ratings import case_temperature, cautions, discharge, rating_share, refusals, volts_each
from remedies.physics.stray_voltage import Source
from remedies.physics.tester import Between, Tester

TEST_V = (250.0, 500.0)


class Darkness(StrEnum):
    """Whether the lamp stays dark when off, held against an assumed threshold."""

    DARK = "dark"
    UNCERTAIN = "uncertain"
    GLOWS = "glows"


@dataclass(frozen=True, slots=True)
class Evaluation:
    """What one part does as a remedy. Empty ``refusals`` means nothing forbids it: no verdict on safety.

    lamp_v: across the lamp when off [V]. margin: the glow threshold's low end ÷ the highest lamp voltage.
    strikes: whether the stray voltage strikes a neon; None for other parts. nominal and highest: on, at the
    supply's two voltages, the second with the part's tolerance against it. rating_share: how much of the
    rating is used at the highest voltage, the larger of power and voltage; None where no rating is given.
    peak_v: crest of the highest supply voltage, over one item of several in series. case_c: estimated case
    temperature [°C]; None for a part that stays near the air's, is unrated or refused. discharge_s: to a
    safe voltage by its own resistor; None without one. residual_a: current to earth in normal use.
    insulation: the expected reading at 250 V and 500 V d.c. on sound cable. disconnect_first: whether it
    must come out before such a test.
    """

    part: Part
    lamp_v: Span
    darkness: Darkness
    margin: float
    strikes: bool | None
    nominal: OnState
    highest: OnState
    energy_kwh: float
    cost: float | None
    rating_share: float | None
    peak_v: float
    case_c: Span | None
    discharge_s: Span | None
    residual_a: float
    failure: str
    insulation: dict[float, ExpectedReading]
    disconnect_first: bool
    refusals: tuple[str, ...]
    cautions: tuple[str, ...]
    working: tuple[str, ...]
    assumptions: tuple[str, ...]

    @property
    def refused(self) -> bool:
        return bool(self.refusals)


def evaluate(part: Part, sources: Sequence[Source], conditions: Conditions | None = None) -> Evaluation:
    """Everything about one part as a remedy.

    ``sources``: the stray source as typically known first, then the others it may be (the ``points`` of a
    ``SourceRange``); the lamp voltage is the range over all of them and over the part's tolerance.

    >>> from remedies.physics.register_entry import RegisterEntry, from_register
    >>> from remedies.physics.stray_voltage import Neighbour, source
    >>> stray = source([Neighbour(230, 1.4e-9)])
    >>> found = evaluate(from_register(RegisterEntry("resistor", resistance_ohm=390, rated_w=0.25)), [stray])
    >>> found.refusals[0]
    '230² ÷ 390 Ω = 136 W in a 0.25 W part.'
    """
    if not sources:
        raise InputError(
            "stray source", "none was given. Enter two meter readings, or a run of cable, first."
        )
    given = conditions or Conditions()
    check_values(part)
    lamp_v, strikes = lamp_volts(part, sources, given)
    nominal = on_state(part, given.supply_v, frequency_hz=given.frequency_hz)
    highest = on_state(part, given.highest_v, Draw.MOST, given.frequency_hz)
    energy = nominal.power_w * given.hours_on / 1000
    insulation = expected_readings(SOUND_CABLE_MOHM, [part], Tester(), _between(part), voltages=TEST_V)
    rulings = damage.judge([part], max(TEST_V), _between(part))
    residual = highest.current_a if part.connection is Connection.LINE_EARTH else 0.0
    refused = tuple(refusals(part, nominal, highest, residual, given))
    case = None if refused else case_temperature(part, nominal, highest, given)
    return Evaluation(
        part=part,
        lamp_v=lamp_v,
        darkness=_darkness(lamp_v, given.glow_v),
        margin=given.glow_v.low / lamp_v.high if lamp_v.high else math.inf,
        strikes=strikes,
        nominal=nominal,
        highest=highest,
        energy_kwh=energy,
        cost=None if given.price_per_kwh is None else energy * given.price_per_kwh,
        rating_share=rating_share(part, highest, given),
        peak_v=math.sqrt(2) * volts_each(part, given.highest_v),
        case_c=case,
        discharge_s=discharge(part, given),
        residual_a=residual,
        failure=_FAILURE[type(part)],
        insulation=insulation,
        disconnect_first=_upsets(insulation) or bool(damage.must_come_out(rulings)),
        refusals=refused,
        cautions=tuple(cautions(part, highest, case, residual, strikes, given)),
        working=tuple(_working(part, sources[0], lamp_v, nominal, highest, energy, given)),
        assumptions=_assumptions(part, given),
    )


def check_values(part: Part) -> None:
    """Raises InputError for a part that is no remedy to calculate, or whose value cannot be."""
    match part:
        case SuppressionCapacitor() | RcNetwork():
            instead = "Give the capacitance in farads, 0.1e-6 for 0.1 µF."
            number(part.title, part.capacitance_f.low, "F", low=1e-10, high=1e-4, instead=instead)
        case Neon():
            instead = "Give the series resistor in ohms, 220e3 for 220 kΩ."
            number(part.title, part.series_ohm.low, "Ω", low=1e3, high=1e8, instead=instead)
        case Resistor() | LoadModule():
            instead = "Give the resistance in ohms, 47e3 for 47 kΩ."
            number(part.title, part.resistance_ohm.low, "Ω", low=1, high=1e9, instead=instead)
        case _:
            admittance(part)  # says that it is no remedy


def lamp_volts(part: Part, sources: Sequence[Source], given: Conditions) -> tuple[Span, bool | None]:
    """Voltage across the unlit lamp [V] with a part in place, and whether a neon strikes, None for others."""
    if not isinstance(part, Neon):
        every = [
            source.volts(admittance(part, draw, source.frequency_hz), given.lamp_s)
            for source in sources
            for draw in (Draw.TYPICAL, Draw.LEAST, Draw.MOST)
        ]
        return Span(min(every), every[0], max(every)), None
    by_volts = sorted(sources, key=lambda source: source.volts(given.lamp_s))
    runs = [
        neon.on_stray(source, lamps(part, draw), given.lamp_s)
        for source, draw in ((sources[0], Draw.TYPICAL), (by_volts[0], Draw.MOST), (by_volts[-1], Draw.LEAST))
    ]
    volts = [run.volts for run in runs]
    return Span(min(volts), volts[0], max(volts)), runs[0].strikes


def _darkness(lamp_v: Span, glow_v: Span) -> Darkness:
    if lamp_v.high <= glow_v.low:
        return Darkness.DARK
    return Darkness.GLOWS if lamp_v.low >= glow_v.high else Darkness.UNCERTAIN


def _between(part: Part) -> Between:
    if part.connection is Connection.SWITCHED_LINE_NEUTRAL:
        return Between.LINE_NEUTRAL
    return Between(part.connection.value)


def _upsets(insulation: dict[float, ExpectedReading]) -> bool:
    """Whether, on sound cable, a test could read below the least value allowed."""
    least = FIGURES["insulation"]["least_mohm"]
    return any(reading.mohm.low < least for reading in insulation.values())


_FAILURE = {
    SuppressionCapacitor: "Mostly loses capacitance with age, and the glow comes back. An X-class part may "
    "fail shorted, for the protective device to clear; a Y-class part is built to fail open.",
    RcNetwork: "Mostly loses capacitance with age, and the glow comes back; a shorted capacitor leaves the "
    "small resistor across the supply, which burns open.",
    Resistor: "Fails open, after charring what is next to it if it ran too hot; the glow then comes back.",
    LoadModule: "Fails open, or chars what is next to it if it ran too hot; the glow then comes back.",
    Neon: "Blackens with age, strikes later, then flickers or stays dark; the glow comes back.",
}


def _working(
    part: Part,
    source: Source,
    lamp_v: Span,
    nominal: OnState,
    highest: OnState,
    energy: float,
    given: Conditions,
) -> Iterator[str]:
    yield (
        f"Off: {engineering(source.short_circuit_a, 'A')} into the source’s own "
        f"{engineering(abs(source.admittance_s), 'S')} and {describe(part)}: {significant(lamp_v.typical)} V "
        f"({significant(lamp_v.low)} to {significant(lamp_v.high)} V)"
    )
    for on in (nominal, highest):
        how = ""
        if not isinstance(part, Neon):
            how = f" = {significant(on.volts)} V × {engineering(on.current_a / on.volts, 'S')}"
        yield (
            f"On at {significant(on.volts)} V: I{how} = {engineering(on.current_a, 'A')}, "
            f"P = {engineering(on.power_w, 'W')}"
        )
    yield (
        f"A year: {engineering(nominal.power_w, 'W')} × {significant(given.hours_on, 4)} h = "
        f"{significant(energy)} kWh"
    )


def _assumptions(part: Part, given: Conditions) -> tuple[str, ...]:
    lasting = [f"{part.title}: {note}" for note in part.notes]
    low, high = significant(given.glow_v.low), significant(given.glow_v.high)
    lasting.append(f"Glow threshold {low} to {high} V: {FIGURES['glow']['source']}.")
    lasting.append(f"{significant(given.hours_on, 4)} h energised a year: {FIGURES['use']['source']}.")
    if isinstance(part, Resistor):
        lasting.append(f"Case temperature: {FIGURES['resistor']['rise_source']}.")
    if isinstance(part, LoadModule):
        lasting.append(f"Case temperature: {FIGURES['module']['source']}.")
    return tuple(lasting)
