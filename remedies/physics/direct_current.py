"""The direct current through all that is across an insulation tester, and the voltage left at its terminals.

Insulation and resistors are straight lines through zero, rectifiers and lit neons straight lines from a
threshold, varistors a power law. Below its current limit the tester holds its nominal voltage; at the limit
the voltage falls until the current fits.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from remedies.physics.parts import NOTHING, Part, Varistor
from remedies.physics.quantity import Span
from remedies.physics.tester import Tester

LOW, TYPICAL, HIGH = range(3)  # which end of every value: the low end passes most current


@dataclass(slots=True)
class Lamp:
    """Neons of one kind: maintaining and striking voltage, siemens of one, and how many."""

    maintain_v: float
    siemens: float  # of one
    strike_v: Span
    count: int

    @property
    def order(self) -> tuple[float, float, float]:
        """The lowest strikes first; among equals the order in the register must not matter."""
        return self.strike_v.typical, self.maintain_v, self.siemens


@dataclass(slots=True)
class Law:
    """A varistor: I = 1 mA × (V / V at 1 mA)^exponent, with an exponent on either side of 1 mA."""

    volts_at_1ma: float
    exponent_below: float
    exponent_above: float
    count: int

    def current_and_slope(self, volts: float) -> tuple[float, float]:
        """Current [A] and its slope [S] at a voltage."""
        exponent = self.exponent_below if volts < self.volts_at_1ma else self.exponent_above
        amps = 1e-3 * self.count * (volts / self.volts_at_1ma) ** exponent
        return amps, exponent * amps / volts

    def volts_at(self, amps: float) -> float:
        """The voltage [V] at which it passes a current."""
        share = amps / (1e-3 * self.count)
        exponent = self.exponent_below if share < 1 else self.exponent_above
        return float(self.volts_at_1ma * share ** (1 / exponent))


@dataclass(slots=True)
class Corner:
    """Everything across the tester with one choice of every value, in volts and siemens."""

    siemens: float
    rectifiers: list[tuple[float, float]]  # (threshold V, S)
    lamps: list[Lamp]
    varistors: list[Law]
    lamp_counts: tuple[int, ...]


def pick(span: Span, end: int) -> float:
    """The value of a span at LOW, TYPICAL or HIGH."""
    return span.low if end == LOW else span.high if end == HIGH else span.typical


def _law_of(varistor: Varistor, end: int, count: int = 1) -> Law:
    # Below 1 mA a low exponent passes more current, above 1 mA a high one.
    below, above = pick(varistor.exponent, end), pick(varistor.exponent, 2 - end)
    return Law(pick(varistor.volts_at_1ma, end), below, above, count)


def corner(cable_mohm: float, parts: Sequence[Part], end: int) -> Corner:
    """A cable [MΩ] and the parts across it, every value at one end."""
    siemens = 1e-6 / cable_mohm
    rectifiers: list[tuple[float, float]] = []
    lamps: list[Lamp] = []
    laws: list[Law] = []
    for part in parts:
        if path := part.path:
            each = 1 / pick(path.resistance_ohm, end)
            threshold = pick(path.threshold_v, end)
            if path.strike_v:
                lamps.append(Lamp(threshold, each, path.strike_v, part.count))
            elif threshold:
                rectifiers.append((threshold, each * part.count))
            else:
                siemens += each * part.count
        if varistor := part.varistor:
            laws.append(_law_of(varistor, end, part.count))
    return Corner(siemens, rectifiers, lamps, laws, tuple(lamp.count for lamp in lamps))


def current_at(parts: Iterable[Part], volts: float) -> Span:
    """Direct current [A] the parts take together at a voltage held there, once settled: least, typical, most.

    A neon that may be dark at that voltage counts as dark for the least and as lit for the most.
    """
    total = NOTHING
    for part in parts:
        least = typical = most = 0.0
        if path := part.path:
            ohm, threshold = path.resistance_ohm, path.threshold_v
            strike = path.strike_v or threshold
            least += max(0.0, volts - threshold.high) / ohm.high if volts >= strike.high else 0.0
            typical += max(0.0, volts - threshold.typical) / ohm.typical if volts >= strike.typical else 0.0
            most += max(0.0, volts - threshold.low) / ohm.low
        if part.varistor and volts > 0:
            least += _law_of(part.varistor, HIGH).current_and_slope(volts)[0]
            typical += _law_of(part.varistor, TYPICAL).current_and_slope(volts)[0]
            most += _law_of(part.varistor, LOW).current_and_slope(volts)[0]
        total = total + Span(least, typical, most).times(part.count)
    return total


def settled(corner: Corner, lit: Sequence[int], tester: Tester) -> tuple[float, float]:
    """Terminal voltage [V] and reading [MΩ] with so many of each lamp lit."""
    thresholds = corner.rectifiers
    if lit:
        lamps = zip(corner.lamps, lit, strict=True)
        thresholds = thresholds + [(lamp.maintain_v, lamp.siemens * n) for lamp, n in lamps if n]
    volts, limit = tester.nominal_v, tester.current_limit_a
    amps = _current(corner, thresholds, volts)
    if amps > limit:
        volts, amps = _limited_voltage(corner, thresholds, tester), limit
    return volts, volts / amps * 1e-6 if amps else math.inf


def _current(corner: Corner, thresholds: Sequence[tuple[float, float]], volts: float) -> float:
    amps = corner.siemens * volts
    for threshold, siemens in thresholds:
        if volts > threshold:
            amps += (volts - threshold) * siemens
    for law in corner.varistors:
        amps += law.current_and_slope(volts)[0]
    return amps


def _limited_voltage(corner: Corner, thresholds: Sequence[tuple[float, float]], tester: Tester) -> float:
    """The voltage at which the current is the limit. Straight lines have a closed form; varistors do not."""
    limit, active = tester.current_limit_a, list(thresholds)
    while True:
        siemens = corner.siemens + sum(s for _, s in active)
        volts = (limit + sum(v * s for v, s in active)) / siemens if siemens else math.inf
        still = [line for line in active if line[0] < volts]
        if len(still) == len(active):
            break
        active = still
    if not corner.varistors:
        return volts
    highest = min(volts, tester.nominal_v, *(law.volts_at(limit) for law in corner.varistors))
    return _crossing(corner, thresholds, limit, highest)


def _crossing(
    corner: Corner, thresholds: Sequence[tuple[float, float]], limit: float, highest: float
) -> float:
    """Where the rising current meets the limit, between zero and ``highest``: Newton's steps inside a bracket
    that bisection takes over whenever a step would leave it."""
    low, high, volts = 0.0, highest, highest
    while high - low > 1e-9 * highest:
        excess, slope = -limit + corner.siemens * volts, corner.siemens
        for threshold, siemens in thresholds:
            if volts > threshold:
                excess += (volts - threshold) * siemens
                slope += siemens
        for law in corner.varistors:
            amps, steepness = law.current_and_slope(volts)
            excess += amps
            slope += steepness
        if excess > 0:
            high = volts
        else:
            low = volts
        step = excess / slope
        if abs(step) < 1e-9 * highest:
            return volts
        volts -= step
        if not low < volts < high:
            volts = (low + high) / 2
    return volts


def strike_one_by_one(corner: Corner, tester: Tester) -> tuple[int, ...]:
    """How many of each lamp are lit when the voltage is raised from zero: the lowest strikes first, and the
    terminals are settled anew before the next."""
    lit = [0] * len(corner.lamps)
    for index in sorted(range(len(lit)), key=lambda i: corner.lamps[i].order):
        lamp = corner.lamps[index]
        while lit[index] < lamp.count:
            volts, _ = settled(corner, lit, tester)
            if volts < lamp.strike_v.typical:
                return tuple(lit)
            lit[index] += 1
    return tuple(lit)


def if_not_struck(low: Corner, high: Corner, low_v: float, tester: Tester) -> tuple[float, float, bool]:
    """The highest voltage and reading with a neon still dark, and whether that leaves the outcome in doubt.

    A neon is sure to light when, with every other one lit and every value at the end that passes most
    current, the terminals still reach the highest voltage at which it may strike.
    """
    if low_v >= tester.nominal_v and all(lamp.strike_v.high <= low_v for lamp in low.lamps):
        return 0.0, 0.0, False
    unsure = []
    for index, lamp in enumerate(high.lamps):
        others = list(low.lamp_counts)
        others[index] -= 1
        if settled(low, others, tester)[0] < lamp.strike_v.high:
            unsure.append(index)
    if not unsure:
        return 0.0, 0.0, False
    sure = [0 if index in unsure else count for index, count in enumerate(high.lamp_counts)]
    dark_v, dark_mohm = settled(high, sure, tester)
    doubt = any(dark_v > low.lamps[index].maintain_v for index in unsure)
    highest_strike_v = max(high.lamps[index].strike_v.high for index in unsure)
    if dark_v > highest_strike_v:
        # Dark only below its striking voltage, and below nominal only with the tester at its limit.
        dark_v, dark_mohm = highest_strike_v, highest_strike_v / tester.current_limit_a * 1e-6
    return dark_v, dark_mohm, doubt
