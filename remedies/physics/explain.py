"""What a measured live-live reading says, beside what the registered loads should give.

Three answers are possible: the registered loads explain it; it is lower, so something more is across; it is
higher, so a registered load is not in circuit. An answer never turns a reading into a pass: insulation hidden
behind a load is known only as far as the numbers reach, and poor insulation itself is always among the causes
of a low reading.

The reading is good to the operating uncertainty of the instrument, ±30 % by IEC 61557-2 unless better is
known.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from remedies.physics.charge import time_to_charge
from remedies.physics.direct_current import current_at
from remedies.physics.explanation import Absence, Candidate, Explanation, Verdict
from remedies.physics.explanation_words import lines_of, next_step
from remedies.physics.insulation_test import SOUND_CABLE_MOHM, expected_reading
from remedies.physics.known_currents import Known
from remedies.physics.measured import Measured, Settling
from remedies.physics.parts import Kind, Part, SuppressionCapacitor
from remedies.physics.quantity import Span
from remedies.physics.register_entry import RegisterEntry, from_register
from remedies.physics.tester import USUAL_TEST_V, Between, Tester
from remedies.physics.two_voltages import Law, Share, law_of, shares_of

OPERATING_UNCERTAINTY = 0.30  # IEC 61557-2, of the reading
RULED_OUT_SHARE = 0.05  # a law less likely than this is no cause to offer
MOST_COUNT = 6  # how many of a kind together are offered as a cause
MOST_TRIALS = 500  # sets of absent loads tried before giving up
_DISCHARGE_OHM = Span(100e3, 470e3, 5e6)  # across a capacitor; assumption


def explain(
    measured: Measured,
    parts: Sequence[Part],
    tester: Tester,
    between: Between = Between.LINE_NEUTRAL,
    *,
    cable_mohm: Span = SOUND_CABLE_MOHM,
    switches_closed: bool = True,
    second: Measured | None = None,
    uncertainty: float = OPERATING_UNCERTAINTY,
    voltages: Sequence[float] = USUAL_TEST_V,
) -> Explanation:
    """Hold a reading against the registered loads.

    tester: the instrument; its voltage is set to the reading's. cable_mohm: what the cable itself may be,
    sound insulation unless known. second (put the reading that is out of range first): the same circuit read
    again at another voltage with the same instrument. uncertainty: of the reading, as a fraction. voltages:
    those the instrument has.

    >>> from remedies.physics.quantity import ohms
    >>> answer = explain(Measured(0.22), [], Tester(500))
    >>> answer.verdict.value, ohms(answer.missing_ohm.typical)
    ('lower: something more is across, or the insulation is poor', '220 kΩ')
    """
    tester = tester.at(measured.nominal_v)
    expected = expected_reading(cable_mohm, parts, tester, between, switches_closed=switches_closed)
    true = measured.true_mohm(uncertainty)
    known = Known(expected.across, cable_mohm, tester)
    verdict = _verdict(true, expected.mohm)
    missing = known.missing_ohm(true) if verdict is Verdict.LOWER else None
    shares = shares_of(measured, second, known) if second and verdict is Verdict.LOWER else ()
    unregistered = measured.settling is Settling.CLIMBED and not any(p.charging_f for p in expected.across)
    answer = Explanation(
        verdict=verdict,
        expected=expected,
        true_mohm=true,
        cable=known.cable(true) if verdict is Verdict.EXPLAINED else None,
        missing_ohm=missing,
        candidates=_candidates(missing, known.terminal_v(true.typical or true.high), shares),
        absences=_absences(true, known, between, switches_closed) if verdict is Verdict.HIGHER else (),
        shares=shares,
        capacitance_f=_capacitance(measured, tester, true) if unregistered else None,
        unregistered_capacitance=unregistered,
        lines=(),
        next_step="",
    )
    return replace(
        answer,
        lines=tuple(lines_of(answer, measured, second, known)),
        next_step=next_step(answer, measured, second, known, voltages),
    )


def _verdict(true: Span, expected: Span) -> Verdict:
    if true.high < expected.low:
        return Verdict.LOWER
    if true.low > expected.high:
        return Verdict.HIGHER
    return Verdict.EXPLAINED


def _typical_part(kind: Kind) -> Part:
    part = from_register(RegisterEntry(kind))
    if isinstance(part, SuppressionCapacitor):
        return replace(
            part, name="suppression capacitor with discharge resistor", discharge_ohm=_DISCHARGE_OHM
        )
    return part


_TYPICAL_PARTS = tuple(
    _typical_part(kind) for kind in Kind if kind is not Kind.UNKNOWN
)  # which explains nothing


def _candidates(missing: Span | None, volts: float, shares: Sequence[Share]) -> tuple[Candidate, ...]:
    return tuple(_that_pass(missing, volts, shares)) if missing else ()


def _that_pass(missing: Span, volts: float, shares: Sequence[Share]) -> Iterator[Candidate]:
    """Kinds of which one, or a few, would pass the missing current at the voltage of the reading."""
    ruled_out = {share.law for share in shares if share.share < RULED_OUT_SHARE}
    for part in _TYPICAL_PARTS:
        if law_of(part.kind) in ruled_out:
            continue
        amps = current_at([part], volts)
        if not amps.high:
            continue
        one = Span(*(volts / a if a else math.inf for a in (amps.high, amps.typical, amps.low)))
        for count in range(1, MOST_COUNT + 1):
            if one.low / count <= missing.high and one.high / count >= missing.low:
                yield Candidate(part.kind, count, replace(part, count=count).title)
                break
    if Law.LINEAR not in ruled_out:
        yield Candidate(None, 1, "poor insulation: damp, dirt, a damaged cable or accessory")


def _absences(true: Span, known: Known, between: Between, switches_closed: bool) -> tuple[Absence, ...]:
    """Every set of fewest loads whose absence makes the numbers fit."""
    suspects = [part for part in known.parts if part.path or part.varistor]
    trials = 0
    for fewest in range(1, sum(part.count for part in suspects) + 1):
        fits: list[Absence] = []
        for numbers in _splits(fewest, [part.count for part in suspects]):
            trials += 1
            if trials > MOST_TRIALS:
                return tuple(fits)
            missing = {id(part): n for part, n in zip(suspects, numbers, strict=True)}
            left = [
                replace(part, count=part.count - missing.get(id(part), 0))
                for part in known.parts
                if part.count > missing.get(id(part), 0)
            ]
            without = expected_reading(
                known.cable_mohm, left, known.tester, between, switches_closed=switches_closed
            )
            if _verdict(true, without.mohm) is Verdict.EXPLAINED:
                pairs = zip(suspects, numbers, strict=True)
                fits.append(Absence(tuple((part, n) for part, n in pairs if n)))
        if fits:
            return tuple(fits)
    return ()


def _splits(total: int, limits: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Every way to take ``total`` items out of heaps of the given sizes."""
    if not limits:
        if not total:
            yield ()
        return
    for first in range(min(total, limits[0]), -1, -1):
        for rest in _splits(total - first, limits[1:]):
            yield (first, *rest)


def _capacitance(measured: Measured, tester: Tester, true: Span) -> Span | None:
    """Of something that charged, when it was timed: the time divided by that of one farad."""
    if measured.settled_after_s is None or not true.low:
        return None
    farads = sorted(
        measured.settled_after_s / time_to_charge(1.0, mohm * 1e6, tester)
        for mohm in (true.low, true.typical, true.high)
    )
    return Span(farads[0], farads[1], farads[2])
