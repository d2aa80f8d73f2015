"""Charge in the capacitors across an insulation tester: time to settle, time to discharge, stored energy."""

import math
from collections.abc import Iterable, Sequence

from remedies.physics.direct_current import HIGH, LOW, TYPICAL, pick
from remedies.physics.parts import NOTHING, Electronics, Part
from remedies.physics.quantity import Span
from remedies.physics.tester import Tester

SAFE_TO_TOUCH_V = 60.0  # d.c.; IEC 62368-1 and IEC 60204-1 ask for 60 V or less after disconnection
SETTLED = 0.01  # a reading held down by the current limit counts as settled within 1 % of its end


def time_to_charge(capacitance_f: float, resistance_ohm: float, tester: Tester) -> float:
    """Seconds until a capacitor with a resistance across it is at the nominal voltage or, where the current
    limit keeps it lower, within 1 % of the voltage it ends at.

    t = −R·C·ln(1 − Un / (I·R)); without a resistance t = C·Un / I.

    >>> round(time_to_charge(0.1e-6, math.inf, Tester(500)), 4)
    0.05
    """
    least = tester.nominal_v / tester.current_limit_a
    if math.isinf(resistance_ohm):
        return capacitance_f * least
    share = min(least / resistance_ohm, 1 - SETTLED)
    return -resistance_ohm * capacitance_f * math.log1p(-share)


def time_to_discharge(
    capacitance_f: float, resistance_ohm: float, volts: float, down_to_v: float = SAFE_TO_TOUCH_V
) -> float:
    """Seconds for a capacitor to fall from ``volts`` to ``down_to_v`` through a resistance: R·C·ln(V/V₂)."""
    if volts <= down_to_v or not capacitance_f:
        return 0.0
    return resistance_ohm * capacitance_f * math.log(volts / down_to_v)


def charge_of(
    across: Sequence[Part], cable_mohm: Span, mohm: Span, terminal_v: Span, tester: Tester
) -> tuple[Span, Span, Span]:
    """Time to settle, time to discharge and stored energy."""
    charging = [(part, farads) for part in across if (farads := part.charging_f)]
    if not charging:
        return NOTHING, NOTHING, NOTHING
    total = _sum_of(farads.times(part.count) for part, farads in charging)
    settle_s = _settle_span(total, mohm, tester)
    stored_j = Span(
        0.5 * total.low * terminal_v.low**2,
        0.5 * total.typical * terminal_v.typical**2,
        0.5 * total.high * terminal_v.high**2,
    )
    return settle_s, _discharge(across, cable_mohm, terminal_v), stored_j


def _sum_of(spans: Iterable[Span]) -> Span:
    total = NOTHING
    for span in spans:
        total = total + span
    return total


def _settle_span(farads: Span, mohm: Span, tester: Tester) -> Span:
    """Charging is slowest where the loads leave the tester hardly any current to charge with."""
    low, high = mohm.low * 1e6, mohm.high * 1e6
    slowest = min(max(tester.nominal_v / tester.current_limit_a / (1 - SETTLED), low), high)
    return Span(
        min(time_to_charge(farads.low, low, tester), time_to_charge(farads.low, high, tester)),
        time_to_charge(farads.typical, mohm.typical * 1e6, tester),
        time_to_charge(farads.high, slowest, tester),
    )


def _discharge(across: Sequence[Part], cable_mohm: Span, terminal_v: Span) -> Span:
    """Until all that was charged is below a safe voltage by itself.

    Capacitors at the terminals empty through every plain resistance there and the cable; neons go dark too
    early to help. A capacitor behind a rectifier empties through its own bleeder alone, and until it has,
    those at the terminals may feed it: then they all share that bleeder, and none is slower.
    """
    plain = [
        (part.count, path.resistance_ohm) for part in across if (path := part.path) and path.strike_v is None
    ]
    electronics = [part for part in across if isinstance(part, Electronics)]
    outside = _sum_of(
        farads.times(part.count)
        for part in across
        if (farads := part.charging_f) and not isinstance(part, Electronics)
    )

    def seconds(end: int) -> float:
        volts, farads = pick(terminal_v, end), pick(outside, end)
        if electronics:
            return max(
                time_to_discharge(pick(part.reservoir_f, end) + farads, pick(part.bleed_ohm, end), volts)
                for part in electronics
            )
        siemens = 1e-6 / pick(cable_mohm, end) + sum(n / pick(ohm, end) for n, ohm in plain)
        return time_to_discharge(farads, 1 / siemens if siemens else math.inf, volts)

    return Span(seconds(LOW), seconds(TYPICAL), seconds(HIGH))
