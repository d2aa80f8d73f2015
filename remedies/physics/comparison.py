"""Remedies against each other: those that leave nothing across the circuit first, then the parts.

A part that stays across line and neutral is found again by every insulation test; rerouting, a spare core, an
earthed core, double-pole switching or a suitable control or lamp is not. Parts are ranked by whether the lamp
stays dark, whether they must be disconnected before a test, and what they dissipate.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from remedies.physics.operating import Conditions
from remedies.physics.parts import CapacitorClass, Part, Resistor, SuppressionCapacitor
from remedies.physics.preferred_values import Series, between
from remedies.physics.quantity import Span, engineering, significant
from remedies.physics.remedy import Darkness, Evaluation, evaluate, lamp_volts
from remedies.physics.stray_voltage import Source

AMPLE_MARGIN = 2.0  # of the glow threshold over the voltage left on the lamp; assumption
_ORDER = {Darkness.DARK: 0, Darkness.UNCERTAIN: 1, Darkness.GLOWS: 2}
_CAPACITOR_RANGE_F = (1e-9, 1e-6)
_RESISTOR_RANGE_OHM = (1e3, 1e6)
_CAPACITOR_TOLERANCE, _RESISTOR_TOLERANCE = 0.20, 0.05  # IEC 60062 codes M and J


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """What is found at the place, for remedies without a part. Everything unknown stays False."""

    spare_core: bool = False
    idle_core_floating: bool = False
    no_cpc: bool = False
    can_reroute: bool = False
    room_for_double_pole: bool = False
    neutral_at_control: bool = False
    electronic_control: bool = False
    dimmer_below_minimum: bool = False


_WITHOUT_A_PART = {
    "can_reroute": (
        "Reroute the switch wire away from the permanent line",
        "Less parallel run is less coupling: half the metres, half the current.",
    ),
    "spare_core": (
        "Use the spare core",
        "Move the switched line to a core that does not lie against the permanent line, and earth the one "
        "left idle.",
    ),
    "idle_core_floating": (
        "Earth the unused core",
        "An idle core joined to earth stands beside the switched wire and takes part of what is coupled.",
    ),
    "no_cpc": (
        "Fit the missing protective conductor",
        "It is needed in its own right, and between the cores it takes part of the coupled current.",
    ),
    "room_for_double_pole": (
        "Switch both poles",
        "With neutral switched too, most of the coupled voltage no longer stands across the lamp.",
    ),
    "neutral_at_control": (
        "Fit a control that uses the neutral at its place",
        "It takes its own supply from line and neutral, so none of it passes through the lamp.",
    ),
    "electronic_control": (
        "Fit a control or lamp made for each other",
        "A lamp that stays dark at the current this control passes, or a control with a relay contact.",
    ),
    "dimmer_below_minimum": (
        "Fit a dimmer that suits the load",
        "One with a lower minimum load, and with the edge that the lamps are made for.",
    ),
}


_LEAVES_NOTHING = "Nothing stays across the circuit, so the next insulation test sees the cable alone."


@dataclass(frozen=True, slots=True)
class Choice:
    """One remedy with its reasons; ``evaluation`` is None where there is no part to calculate."""

    title: str
    reasons: tuple[str, ...]
    evaluation: Evaluation | None = None

    @property
    def refused(self) -> bool:
        return self.evaluation is not None and self.evaluation.refused


def compare(
    parts: Sequence[Part],
    sources: Sequence[Source],
    conditions: Conditions | None = None,
    situation: Situation | None = None,
) -> tuple[Choice, ...]:
    """Every remedy, best first: those without a part where they serve, then parts, refused ones last."""
    choices = (choice_of(part, sources, conditions) for part in parts)
    return (*without_a_part(situation or Situation()), *sorted(choices, key=rank))


def choice_of(part: Part, sources: Sequence[Source], conditions: Conditions | None = None) -> Choice:
    """One part as a remedy, with its reasons."""
    found = evaluate(part, sources, conditions)
    return Choice(part.title, tuple(_reasons(found)), found)


def without_a_part(situation: Situation) -> tuple[Choice, ...]:
    """The remedies that leave nothing across the circuit, as far as the place allows them."""
    return tuple(
        Choice(
            title,
            (reason, _LEAVES_NOTHING),
        )
        for name, (title, reason) in _WITHOUT_A_PART.items()
        if getattr(situation, name)
    )


def rank(choice: Choice) -> tuple[bool, int, bool, bool, int, float]:
    """What to sort by for the best first; a choice without a part comes before all. A part that just serves
    today comes after one with margin to spare: lamps are changed and runs are lengthened."""
    found = choice.evaluation
    if found is None:
        return (False, -1, False, False, 0, 0.0)
    return (
        found.refused,
        _ORDER[found.darkness],
        found.disconnect_first,
        found.margin < AMPLE_MARGIN,
        len(found.cautions),
        found.nominal.power_w,
    )


def _reasons(found: Evaluation) -> Iterator[str]:
    yield from found.refusals
    across = f"{significant(found.lamp_v.low)} to {significant(found.lamp_v.high)} V across the lamp when off"
    yield {
        Darkness.DARK: f"{across}: below the glow threshold by a factor of {significant(found.margin, 2)}.",
        Darkness.UNCERTAIN: f"{across}: in or near the range where lamps begin to glow.",
        Darkness.GLOWS: f"{across}: the lamp goes on glowing.",
    }[found.darkness]
    cost = "" if found.cost is None else f", {found.cost:.2f} a year"
    yield f"Takes {engineering(found.nominal.power_w, 'W')} when on{cost}."
    if found.disconnect_first:
        yield "Must be registered, and disconnected before an insulation test."
    else:
        yield "Must be registered. It may stay in for an insulation test; discharge it afterwards."


def least_capacitor(sources: Sequence[Source], conditions: Conditions | None = None) -> Part | None:
    """The smallest suppression capacitor of the E6 series, X2 275 V ± 20 %, that keeps the lamp dark."""
    return _first_dark(
        (capacitor(value) for value in between(*_CAPACITOR_RANGE_F, Series.E6)), sources, conditions
    )


def largest_resistor(sources: Sequence[Source], conditions: Conditions | None = None) -> Part | None:
    """The largest resistor of the E24 series ± 5 % that keeps the lamp dark; its rating is yet to choose."""
    return _first_dark(
        (resistor(value) for value in reversed(between(*_RESISTOR_RANGE_OHM, Series.E24))),
        sources,
        conditions,
    )


def _first_dark(
    parts: Iterator[Part], sources: Sequence[Source], conditions: Conditions | None
) -> Part | None:
    given = conditions or Conditions()
    return next((part for part in parts if _keeps_dark(part, sources, given)), None)


def _keeps_dark(part: Part, sources: Sequence[Source], given: Conditions) -> bool:
    return lamp_volts(part, sources, given)[0].high <= given.glow_v.low


def capacitor(capacitance_f: float) -> SuppressionCapacitor:
    """An X2 suppression capacitor of 275 V ± 20 %."""
    span = Span.within(capacitance_f, _CAPACITOR_TOLERANCE)
    return SuppressionCapacitor(capacitance_f=span, rated_v=275.0, safety_class=CapacitorClass.X2)


def resistor(resistance_ohm: float, rated_w: float | None = None) -> Resistor:
    """One resistor ± 5 %."""
    return Resistor(resistance_ohm=Span.within(resistance_ohm, _RESISTOR_TOLERANCE), rated_w=rated_w)


@dataclass(frozen=True, slots=True)
class Point:
    """Lamp voltage [V] for one value of a remedy [Ω or F]."""

    value: float
    lamp_v: Span


@dataclass(frozen=True, slots=True)
class Curve:
    """Lamp voltage when off against the remedy's value, with the glow threshold, for a plot."""

    unit: str
    points: tuple[Point, ...]
    glow_v: Span


def capacitor_curve(sources: Sequence[Source], conditions: Conditions | None = None) -> Curve:
    """Lamp voltage against capacitance, at the E12 values from 1 nF to 1 µF."""
    return _curve("F", between(*_CAPACITOR_RANGE_F, Series.E12), capacitor, sources, conditions)


def resistor_curve(sources: Sequence[Source], conditions: Conditions | None = None) -> Curve:
    """Lamp voltage against resistance, at the E12 values from 1 kΩ to 1 MΩ."""
    return _curve("Ω", between(*_RESISTOR_RANGE_OHM, Series.E12), resistor, sources, conditions)


def _curve(
    unit: str,
    values: Sequence[float],
    build: Callable[[float], Part],
    sources: Sequence[Source],
    conditions: Conditions | None,
) -> Curve:
    given = conditions or Conditions()
    points = (Point(value, lamp_volts(build(value), sources, given)[0]) for value in values)
    return Curve(unit, tuple(points), given.glow_v)
