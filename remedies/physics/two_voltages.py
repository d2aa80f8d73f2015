"""What two insulation readings at two voltages say of what is across: a resistance, a neon or a varistor.

Two readings of one instrument compare much better than either is known by itself.
"""

import math
from dataclasses import dataclass, replace
from enum import StrEnum

from remedies.physics.known_currents import Known
from remedies.physics.measured import Measured
from remedies.physics.parts import NEON_MAINTAIN_V, NEON_STRIKE_V, VARISTOR_EXPONENT, Kind
from remedies.physics.quantity import Span

REPEATABILITY = 0.03  # between two readings of one instrument; assumption
SAME_VOLTAGE = 0.05  # two readings taken at voltages nearer than this tell nothing more than one


class Law(StrEnum):
    """How the current of what is across follows the voltage."""

    LINEAR = "a resistance, or poor insulation"
    NEON = "a neon"
    VARISTOR = "a varistor"


_LAWS = {Kind.NEON: Law.NEON, Kind.ACCESSORY_NEON: Law.NEON, Kind.SURGE_PROTECTION: Law.VARISTOR}


def law_of(kind: Kind) -> Law:
    """The law that a kind of load follows."""
    return _LAWS.get(kind, Law.LINEAR)


@dataclass(frozen=True, slots=True)
class Share:
    """How likely a law is beside the others, from two readings alone, all being equally likely before."""

    law: Law
    share: float


def shares_of(first: Measured, second: Measured, known: Known) -> tuple[Share, ...]:
    """Weigh the laws by the ratio of the missing resistances at the two voltages.

    Each law predicts a ratio; the readings give one with an error. Empty where the two were taken at nearly
    one voltage, where a bound faces a bound, or where no law is three times as likely as another.
    """
    lower, upper = sorted((first, second), key=lambda reading: reading.nominal_v)
    known_lower, known_upper = _at(known, lower), _at(known, upper)
    v1, v2 = known_lower.terminal_v(lower.mohm), known_upper.terminal_v(upper.mohm)
    if upper.relation != "=" or lower.relation == "<" or not lower.mohm or not upper.mohm:
        return ()
    if v2 < v1 * (1 + SAME_VOLTAGE):
        return ()
    x1 = known_lower.missing_ohm(Span.exact(lower.mohm)).typical
    x2 = known_upper.missing_ohm(Span.exact(upper.mohm)).typical
    if math.isinf(x2):
        return ()
    bound = lower.relation == ">" or math.isinf(x1)
    if math.isinf(x1):
        x1 = lower.mohm * 1e6
    ratio = math.log(x1 / x2)
    error = math.hypot(_log_error(lower, x1), _log_error(upper, x2))
    weights = {law: _likelihood(law, ratio, error, bound, v1, v2) for law in Law}
    total, least = sum(weights.values()), min(weights.values())
    if not total or max(weights.values()) < 3 * least:
        return ()
    return tuple(
        Share(law, weight / total) for law, weight in sorted(weights.items(), key=lambda item: -item[1])
    )


def _at(known: Known, reading: Measured) -> Known:
    return replace(known, tester=known.tester.at(reading.nominal_v))


def _log_error(reading: Measured, missing_ohm: float) -> float:
    """Relative error of the missing resistance: that of the reading, multiplied by R_missing / R_read."""
    of_reading = math.hypot(REPEATABILITY, reading.resolution_mohm / math.sqrt(12) / reading.mohm)
    return of_reading * max(1.0, missing_ohm / (reading.mohm * 1e6))


def _likelihood(law: Law, ratio: float, error: float, bound: bool, v1: float, v2: float) -> float:
    """Mean over what the law leaves open of how well it predicts the ratio; a bound counts all above it."""
    predicted = _predicted_ratios(law, v1, v2)
    return sum(_agreement(p, ratio, error, bound) for p in predicted) / len(predicted)


def _agreement(predicted: float, ratio: float, error: float, bound: bool) -> float:
    if bound:
        return 0.5 * math.erfc((ratio - predicted) / (error * math.sqrt(2)))
    return math.exp(-0.5 * ((ratio - predicted) / error) ** 2)


def _predicted_ratios(law: Law, v1: float, v2: float) -> list[float]:
    """ln(resistance at v1 / resistance at v2), over the values the law leaves open."""
    if law is Law.LINEAR:
        return [0.0]
    if law is Law.VARISTOR:
        return [(exponent - 1) * math.log(v2 / v1) for exponent in _across(VARISTOR_EXPONENT)]
    ratios = []
    for maintain in _across(NEON_MAINTAIN_V):
        for strike in _across(NEON_STRIKE_V):
            if v2 <= max(maintain, strike):
                continue  # dark at both: it would not have been missing
            lit = v1 > max(maintain, strike)
            ratios.append(math.log(v1 / (v1 - maintain) * (v2 - maintain) / v2) if lit else math.inf)
    return ratios or [math.inf]


def _across(span: Span, steps: int = 5) -> list[float]:
    return [span.low + (span.high - span.low) * i / (steps - 1) for i in range(steps)]
