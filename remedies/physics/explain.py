"""What a measured live-live reading says, beside what the registered loads should give.

Three answers are possible: the registered loads explain it; it is lower, so something more is across; it is
higher, so a registered load is not in circuit. An answer never turns a reading into a pass: insulation hidden
behind a load is known only as far as the numbers reach, and poor insulation itself is always among the causes
of a low reading.

Known currents are taken off at the voltage the reading was taken at, which for plain resistances is
R = 1 / (1/Rread − 1/Rknown). The reading is good to the operating uncertainty of the instrument, ±30 % by
IEC 61557-2 unless better is known; two readings of one instrument compare much better than that.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from remedies.physics.charge import time_to_charge
from remedies.physics.direct_current import current_at
from remedies.physics.insulation_test import SOUND_CABLE_MOHM, ExpectedReading, expected_reading
from remedies.physics.parts import (
    NEON_MAINTAIN_V,
    NEON_STRIKE_V,
    VARISTOR_EXPONENT,
    Kind,
    Part,
    SuppressionCapacitor,
)
from remedies.physics.quantity import Span, microfarads, ohms, significant, span_text
from remedies.physics.register_entry import RegisterEntry, from_register
from remedies.physics.tester import USUAL_TEST_V, Between, Tester

OPERATING_UNCERTAINTY = 0.30  # IEC 61557-2, of the reading
REPEATABILITY = 0.03  # between two readings of one instrument; assumption
MOST_ERROR_FACTOR = 10.0  # above this the insulation behind a load is given as a lower bound only
SAME_VOLTAGE = 0.05  # two readings taken at voltages nearer than this tell nothing more than one
MOST_COUNT = 6  # how many of a kind together are offered as a cause
MOST_TRIALS = 500  # sets of absent loads tried before giving up


class Settling(StrEnum):
    """What the reading did while the button was held."""

    NOT_WATCHED = "not watched"
    STEADY = "steady at once"
    CLIMBED = "climbed"


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading [MΩ] with its relation (``<``, ``=`` or ``>``) and the nominal test voltage it was taken at.

    resolution_mohm: the last place written. settled_after_s: how long it climbed, if timed.
    """

    mohm: float
    relation: str = "="
    nominal_v: float = 500.0
    resolution_mohm: float = 0.01
    settling: Settling = Settling.NOT_WATCHED
    settled_after_s: float | None = None

    def __post_init__(self) -> None:
        if self.relation not in ("<", "=", ">"):
            raise ValueError(f"A reading is <, = or > its value; got “{self.relation}”.")
        if self.mohm < 0:
            raise ValueError("An insulation reading is zero or more.")

    def true_mohm(self, uncertainty: float) -> Span:
        """Where the true value lies, given the uncertainty as a fraction of the reading.

        >>> Measured(1.30, resolution_mohm=0).true_mohm(0.30)
        Span(low=1.0, typical=1.3, high=1.857)
        """
        half = self.resolution_mohm / 2
        low = max(0.0, self.mohm - half) / (1 + uncertainty)
        high = (self.mohm + half) / (1 - uncertainty)
        if self.relation == ">":
            return Span(low, max(low, self.mohm), math.inf)
        return Span(0.0 if self.relation == "<" else low, self.mohm, high)


class Verdict(StrEnum):
    """How the reading stands to what the registered loads should give."""

    EXPLAINED = "explained by what is registered"
    LOWER = "lower: something more is across, or the insulation is poor"
    HIGHER = "higher: a registered load is not in circuit"


class Law(StrEnum):
    """How the current of what is across follows the voltage."""

    LINEAR = "a resistance, or poor insulation"
    NEON = "a neon"
    VARISTOR = "a varistor"


@dataclass(frozen=True, slots=True)
class Share:
    """How likely a law is beside the others, from two readings alone, all being equally likely before."""

    law: Law
    share: float


@dataclass(frozen=True, slots=True)
class Candidate:
    """Something that would make up the difference: so many of a kind; no kind stands for poor insulation."""

    kind: Kind | None
    count: int
    text: str


@dataclass(frozen=True, slots=True)
class Absence:
    """Registered loads that would have to be out of circuit: parts, and how many of each."""

    missing: tuple[tuple[Part, int], ...]

    @property
    def text(self) -> str:
        return ", ".join(
            replace(part, count=number).title + (f" of {part.count}" if part.count > number else "")
            for part, number in self.missing
        )


@dataclass(frozen=True, slots=True)
class CableEstimate:
    """The insulation left when the registered loads are taken out of the reading, in MΩ.

    error_factor: how much the error of the reading is multiplied, R_cable / R_read. Above 10, or when the
    loads alone would account for the whole reading, only ``mohm.low`` means anything.
    """

    mohm: Span
    error_factor: float

    @property
    def only_lower_bound(self) -> bool:
        return self.error_factor > MOST_ERROR_FACTOR or math.isinf(self.mohm.high)

    @property
    def text(self) -> str:
        if not self.mohm.low:
            return "hidden by the loads"
        if self.only_lower_bound:
            return f"at least {significant(self.mohm.low, 2)} MΩ"
        return span_text(self.mohm, lambda mohm: f"{significant(mohm, 2)} MΩ")


@dataclass(frozen=True, slots=True)
class Explanation:
    """The answer, its numbers, and what would decide more.

    cable: the insulation behind the loads, when explained. missing_ohm: resistance of what more is across,
    when lower. candidates: what that could be. absences: which registered loads would have to be out of
    circuit, when higher. shares: from a second reading, empty where the numbers carry none. capacitance_f:
    of something unregistered that charged. lines: plain sentences, in order. next_step: the one measurement
    that would decide most.
    """

    verdict: Verdict
    expected: ExpectedReading
    true_mohm: Span
    cable: CableEstimate | None
    missing_ohm: Span | None
    candidates: tuple[Candidate, ...]
    absences: tuple[Absence, ...]
    shares: tuple[Share, ...]
    capacitance_f: Span | None
    unregistered_capacitance: bool
    lines: tuple[str, ...]
    next_step: str

    @property
    def could_be(self) -> str:
        """The candidates in one sentence; empty when there are none."""
        told = "; ".join(candidate.text for candidate in self.candidates)
        return f"It could be: {told}." if told else ""


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

    >>> answer = explain(Measured(0.22), [], Tester(500))
    >>> answer.verdict.value, ohms(answer.missing_ohm.typical)
    ('lower: something more is across, or the insulation is poor', '220 kΩ')
    """
    tester = tester.at(measured.nominal_v)
    expected = expected_reading(cable_mohm, parts, tester, between, switches_closed=switches_closed)
    true = measured.true_mohm(uncertainty)
    known = _Known(expected.across, cable_mohm, tester)
    verdict = _verdict(true, expected.mohm)
    missing = known.missing_ohm(true) if verdict is Verdict.LOWER else None
    shares = _shares(measured, second, known) if second and verdict is Verdict.LOWER else ()
    unregistered = measured.settling is Settling.CLIMBED and not any(p.charging_f for p in expected.across)
    answer = Explanation(
        verdict=verdict,
        expected=expected,
        true_mohm=true,
        cable=known.cable(true) if verdict is Verdict.EXPLAINED else None,
        missing_ohm=missing,
        candidates=tuple(_candidates(missing, known.terminal_v(true.typical or true.high), shares))
        if missing
        else (),
        absences=_absences(true, known, between, switches_closed) if verdict is Verdict.HIGHER else (),
        shares=shares,
        capacitance_f=_capacitance(measured, tester, true) if unregistered else None,
        unregistered_capacitance=unregistered,
        lines=(),
        next_step="",
    )
    return replace(
        answer,
        lines=tuple(_lines(answer, measured, second, known)),
        next_step=_next_step(answer, measured, second, known, voltages),
    )


def _verdict(true: Span, expected: Span) -> Verdict:
    if true.high < expected.low:
        return Verdict.LOWER
    if true.low > expected.high:
        return Verdict.HIGHER
    return Verdict.EXPLAINED


# --- taking known currents off ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known to be across, and the tester that reads it."""

    parts: tuple[Part, ...]
    cable_mohm: Span
    tester: Tester

    def terminal_v(self, mohm: float) -> float:
        """The voltage a reading was taken at: nominal, or what the current limit leaves."""
        return min(self.tester.nominal_v, self.tester.current_limit_a * mohm * 1e6)

    def missing_ohm(self, true: Span) -> Span:
        """Of what more is across: the current the reading shows less that of the loads and the cable."""
        typical = self._rest(true.typical, self._amps(true.typical, with_cable=True).typical)
        low = self._rest(true.low, self._amps(true.low, with_cable=True).low)
        high = self._rest(true.high, self._amps(true.high, with_cable=True).high)
        return Span(min(low, typical), typical, max(high, typical))

    def cable(self, true: Span) -> CableEstimate:
        """Of the cable: the current the reading shows less that of the loads."""
        typical = self._rest(true.typical, self._amps(true.typical).typical) * 1e-6
        low = self._rest(true.low, self._amps(true.low).low) * 1e-6
        high = self._rest(true.high, self._amps(true.high).high) * 1e-6
        factor = typical / true.typical if true.typical else 1.0
        return CableEstimate(Span(min(low, typical), typical, max(high, typical)), factor)

    def _amps(self, mohm: float, *, with_cable: bool = False) -> Span:
        volts = self.terminal_v(mohm)
        amps = current_at(self.parts, volts)
        return amps + self.cable_mohm.falling(lambda cable: volts / (cable * 1e6)) if with_cable else amps

    def _rest(self, mohm: float, known_a: float) -> float:
        """Resistance left, in Ω, when a known current is taken off: infinite when nothing is left."""
        if not mohm:
            return 0.0
        volts = self.terminal_v(mohm)
        rest_a = volts / (mohm * 1e6) - known_a
        return volts / rest_a if rest_a > 0 else math.inf


# --- lower: what could it be --------------------------------------------------------------------------------

_DISCHARGE_OHM = Span(100e3, 470e3, 5e6)  # across a capacitor; assumption
_LAW_OF = {Kind.NEON: Law.NEON, Kind.ACCESSORY_NEON: Law.NEON, Kind.SURGE_PROTECTION: Law.VARISTOR}
_SEEN_BY_ALL = (Kind.UNKNOWN,)  # explains nothing


def _typical_part(kind: Kind) -> Part:
    part = from_register(RegisterEntry(kind))
    if isinstance(part, SuppressionCapacitor):
        return replace(
            part, name="suppression capacitor with discharge resistor", discharge_ohm=_DISCHARGE_OHM
        )
    return part


_TYPICAL_PARTS = tuple(_typical_part(kind) for kind in Kind if kind not in _SEEN_BY_ALL)


def _candidates(missing: Span, volts: float, shares: Sequence[Share]) -> Iterator[Candidate]:
    """Kinds of which one, or a few, would pass the missing current at the voltage of the reading."""
    ruled_out = {share.law for share in shares if share.share < 0.05}
    for part in _TYPICAL_PARTS:
        if _LAW_OF.get(part.kind, Law.LINEAR) in ruled_out:
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


# --- a second reading ---------------------------------------------------------------------------------------


def _shares(first: Measured, second: Measured, known: _Known) -> tuple[Share, ...]:
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


def _at(known: _Known, reading: Measured) -> _Known:
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


# --- higher: what is not in circuit -------------------------------------------------------------------------


def _absences(true: Span, known: _Known, between: Between, switches_closed: bool) -> tuple[Absence, ...]:
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


# --- did it climb -------------------------------------------------------------------------------------------


def _capacitance(measured: Measured, tester: Tester, true: Span) -> Span | None:
    """Of something that charged, when it was timed: the time divided by that of one farad."""
    if measured.settled_after_s is None or not true.low:
        return None
    farads = sorted(
        measured.settled_after_s / time_to_charge(1.0, mohm * 1e6, tester)
        for mohm in (true.low, true.typical, true.high)
    )
    return Span(farads[0], farads[1], farads[2])


# --- in words -----------------------------------------------------------------------------------------------


def _lines(answer: Explanation, measured: Measured, second: Measured | None, known: _Known) -> Iterator[str]:
    expected = answer.expected
    yield f"Expected with the registered loads in: {expected.text} MΩ. {expected.voltage_text}"
    if measured.mohm and known.terminal_v(measured.mohm) < measured.nominal_v:
        volts = significant(known.terminal_v(measured.mohm))
        yield f"At the current limit it was taken at about {volts} V, not {measured.nominal_v:g} V."
    yield from expected.reasons
    match answer.verdict:
        case Verdict.EXPLAINED if not expected.across:
            yield "Nothing is registered across this test; the reading is that of the insulation."
        case Verdict.EXPLAINED if answer.cable:
            yield f"The reading is {Verdict.EXPLAINED}. The insulation behind is {answer.cable.text}."
        case Verdict.LOWER if answer.missing_ohm:
            yield f"The reading is {Verdict.LOWER}: {_missing_text(answer.missing_ohm)}."
        case Verdict.HIGHER:
            yield f"The reading is {Verdict.HIGHER}: taken out, switched out or failed open."
    if answer.absences:
        yield (
            "The numbers fit without: "
            + "; or without ".join(absence.text for absence in answer.absences)
            + "."
        )
    elif answer.verdict is Verdict.HIGHER:
        yield "No set of registered loads out of circuit makes the numbers fit: check leads and switches."
    if answer.shares:
        yield (
            "Of the two readings: "
            + "; ".join(f"{share.law} {_percent(share.share)}" for share in answer.shares)
            + ". Poor insulation cannot be told from a resistor."
        )
    elif second and answer.verdict is Verdict.LOWER:
        yield "The two readings do not tell a resistance, a neon and a varistor apart."
    if answer.unregistered_capacitance:
        size = f", about {microfarads(answer.capacitance_f.typical, 2)}" if answer.capacitance_f else ""
        yield f"It climbed: an unregistered capacitor may be across{size}. Discharge before touching."


def _missing_text(missing: Span) -> str:
    if not missing.typical:
        return f"{ohms(missing.high)} or less"
    if math.isinf(missing.high):
        return f"about {ohms(missing.typical)}, at least {ohms(missing.low)}"
    return f"about {ohms(missing.typical)} ({span_text(missing, ohms)})"


def _percent(share: float) -> str:
    """To the nearest 5 %: finer would pretend."""
    nearest = 5 * round(share * 20)
    return "under 5 %" if nearest < 5 else "over 95 %" if nearest > 95 else f"about {nearest} %"


def _next_step(
    answer: Explanation,
    measured: Measured,
    second: Measured | None,
    known: _Known,
    voltages: Sequence[float],
) -> str:
    match answer.verdict:
        case Verdict.EXPLAINED if any(part.path or part.varistor for part in answer.expected.across):
            return "Disconnect the registered loads and test again: only that shows the insulation itself."
        case Verdict.EXPLAINED:
            return ""
        case Verdict.HIGHER:
            return "Look whether those loads are still fitted and switched in, and correct the register."
    lower = [volts for volts in voltages if volts < known.terminal_v(measured.mohm) * (1 - SAME_VOLTAGE)]
    if lower and second is None and any(_LAW_OF.get(c.kind) for c in answer.candidates if c.kind):
        return _other_voltage(answer, max(lower), known)
    if measured.settling is Settling.NOT_WATCHED:
        return "Hold the button and watch: a reading that climbs slowly has a capacitor behind it."
    return "Part the circuit and test each way: see where to look first."


def _other_voltage(answer: Explanation, volts: float, known: _Known) -> str:
    """What each law would read there."""
    missing = answer.missing_ohm.typical if answer.missing_ohm else math.inf
    tester = known.tester.at(volts)
    was = known.terminal_v(answer.true_mohm.typical)
    amps = was / missing
    maintain = NEON_MAINTAIN_V.typical
    at = tester.display
    rest = current_at(known.parts, volts).typical + volts / (known.cable_mohm.typical * 1e6)
    resistor = at(volts / (volts / missing + rest) * 1e-6)
    kinds = {candidate.kind for candidate in answer.candidates}
    texts = [f"a resistance or poor insulation would read about {resistor} MΩ"]
    if kinds & {Kind.NEON, Kind.ACCESSORY_NEON} and was > maintain:
        neon = max(0.0, volts - maintain) * amps / (was - maintain)
        texts.append(f"a neon about {at(volts / (neon + rest) * 1e-6)} MΩ")
    if Kind.SURGE_PROTECTION in kinds:
        varistor = amps * (volts / was) ** VARISTOR_EXPONENT.typical
        texts.append(f"a varistor {at(volts / (varistor + rest) * 1e-6)} MΩ")
    return f"Test again at {volts:g} V: " + ", ".join(texts) + "."
