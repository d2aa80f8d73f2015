"""Which registered loads must not see the test voltage, and which may.

The rule everywhere: disconnect or bridge out what the test can harm or what harms the test; makers'
instructions and BS 7671 come first. What the register does not say is not taken as safe.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from remedies.physics.parts import (
    CapacitorClass,
    Connection,
    Electronics,
    LoadModule,
    Neon,
    Part,
    RcNetwork,
    Resistor,
    SuppressionCapacitor,
    SurgeProtection,
    WoundTransformer,
)
from remedies.physics.quantity import significant
from remedies.physics.sight import is_across
from remedies.physics.tester import MOST_LIMIT_A, Between

MAINS_CREST_V = math.sqrt(2) * 253  # 358 V: what anything built for 230 V + 10 % sees every day
PROOF_FACTOR = 4.3  # d.c. proof between terminals of class X, times the rated voltage: IEC 60384-14
Y_PROOF_V = {CapacitorClass.Y1: 4000.0, CapacitorClass.Y2: 1500.0}  # a.c. proof, IEC 60384-14
LEAST_WORKING_V = 150.0  # the least limiting voltage of the small leaded resistors usual at mains (IEC 60115)


class Ruling(StrEnum):
    """Whether a load may see the test voltage."""

    MAY_STAY = "may stay"
    TAKE_OUT = "take out before the test"
    CANNOT_TELL = "cannot tell: take out, or test at a lower voltage"


@dataclass(frozen=True, slots=True)
class Judgement:
    """One load: the ruling, why, and from where."""

    part: Part
    ruling: Ruling
    reason: str
    source: str


def judge(
    parts: Sequence[Part],
    test_v: float,
    between: Between = Between.LINE_NEUTRAL,
    *,
    current_limit_a: float = MOST_LIMIT_A,
    switches_closed: bool = True,
) -> tuple[Judgement, ...]:
    """Each load's ruling at a test voltage [V d.c.].

    current_limit_a: of the tester; unless it is known, the most IEC 61557-2 allows, 15 mA.
    """
    return tuple(
        _judge(part, test_v, current_limit_a)
        if is_across(part.connection, between, switches_closed=switches_closed)
        else _not_seen(part, between)
        for part in parts
    )


def must_come_out(judgements: Sequence[Judgement]) -> tuple[Judgement, ...]:
    """Those that may not stay: ruled out, or not known well enough."""
    return tuple(judgement for judgement in judgements if judgement.ruling is not Ruling.MAY_STAY)


def _not_seen(part: Part, between: Between) -> Judgement:
    if between is Between.LIVES_JOINED_EARTH:
        return Judgement(
            part,
            Ruling.MAY_STAY,
            "Both its ends are joined in this test, so it sees no voltage.",
            "BS 7671 643.3.1: live conductors may be connected together",
        )
    if isinstance(part, Electronics | SurgeProtection):
        return Judgement(
            part,
            Ruling.CANNOT_TELL,
            "It is not straight across this test, but a floating conductor can carry the voltage to it.",
            "BS 7671 643.3.2",
        )
    return Judgement(part, Ruling.MAY_STAY, "It is not across this test.", "by its connection")


def _judge(part: Part, test_v: float, current_limit_a: float) -> Judgement:
    match part:
        case SuppressionCapacitor():
            ruling, reason, source = _capacitor(part, test_v)
        case RcNetwork():
            ruling, reason, source = _rated_proof(part, part.rated_v, test_v)
        case Neon():
            ruling, reason, source = _neon(part, test_v, current_limit_a)
        case Resistor():
            ruling, reason, source = _resistor(part, test_v, current_limit_a)
        case Electronics():
            ruling, reason, source = _electronics(test_v)
        case SurgeProtection():
            ruling, reason, source = _surge(part, test_v)
        case WoundTransformer():
            ruling = Ruling.MAY_STAY
            reason = "The test does not harm a winding, but it hides the cable: it reads about 0.00 MΩ."
            source = "common practice, no source"
        case LoadModule() if test_v <= MAINS_CREST_V:
            ruling = Ruling.MAY_STAY
            reason = "It sees no more than the crest of its own supply; it pulls the reading down."
            source = "crest of 253 V, 358 V"
        case _:
            ruling = Ruling.TAKE_OUT
            reason = "It may not withstand the test voltage, and it hides the cable."
            source = "BS 7671 643.3.2"
    return Judgement(part, ruling, reason, source)


_Answer = tuple[Ruling, str, str]


def _capacitor(part: SuppressionCapacitor, test_v: float) -> _Answer:
    if part.safety_class in (CapacitorClass.X1, CapacitorClass.X2) and part.connection in (
        Connection.LINE_EARTH,
        Connection.NEUTRAL_EARTH,
    ):
        reason = "A class X capacitor must not go to earth: take it out and do not put it back."
        return Ruling.TAKE_OUT, reason, "IEC 60384-14"
    if part.discharge_ohm is not None:
        reason = "Its discharge resistor may be worked beyond its rating, and it pulls the reading down."
        return Ruling.CANNOT_TELL, reason, "IEC 60115: limiting element voltage"
    if part.safety_class in Y_PROOF_V:
        proof_v = Y_PROOF_V[part.safety_class] * math.sqrt(2)
        reason = f"Class {part.safety_class} is proved at {significant(proof_v)} V crest; it stores charge."
        ruling = Ruling.MAY_STAY if test_v <= proof_v else Ruling.TAKE_OUT
        return ruling, reason, "IEC 60384-14 (proof voltage: value from memory)"
    if part.safety_class is None:
        reason = "It is not recorded as class X or Y, so its proof voltage is not known."
        return Ruling.CANNOT_TELL, reason, "IEC 60384-14"
    return _rated_proof(part, part.rated_v, test_v)


def _rated_proof(part: Part, rated_v: float, test_v: float) -> _Answer:
    source = "IEC 60384-14: 4.3 × rated voltage, d.c."
    if any(note.subject == "rated voltage" for note in part.notes):
        return Ruling.CANNOT_TELL, "Its rated voltage is not recorded.", source
    proof_v = PROOF_FACTOR * rated_v
    sum_text = f"4.3 × {rated_v:g} V = {significant(proof_v, 4)} V d.c."
    if test_v > proof_v:
        return Ruling.TAKE_OUT, f"The test voltage is above its proof voltage, {sum_text}", source
    return Ruling.MAY_STAY, f"It is proved at {sum_text}; it stores charge: discharge after the test.", source


def _neon(part: Neon, test_v: float, current_limit_a: float) -> _Answer:
    drop_v = min(max(0.0, test_v - part.maintain_v.low), current_limit_a * part.series_ohm.high)
    return _resistance_limit(
        "Its series resistor", drop_v, part.series_ohm.typical, part.resistor_rated_w, part.resistor_working_v
    )


def _resistor(part: Resistor, test_v: float, current_limit_a: float) -> _Answer:
    each_v = min(test_v / part.in_series, current_limit_a * part.resistance_ohm.high)
    return _resistance_limit(
        "The resistor" if part.in_series == 1 else "Each resistor",
        each_v,
        part.resistance_ohm.typical,
        part.rated_w,
        part.working_v,
    )


def _resistance_limit(
    subject: str, volts: float, ohm: float, rated_w: float | None, working_v: float | None
) -> _Answer:
    """A resistor's limit is √(P·R) or its limiting voltage, whichever is lower."""
    source = "IEC 60115: √(P·R) or the limiting element voltage, the lower"
    sees = f"{subject} would see up to {significant(volts)} V"
    known = [
        limit for limit in (math.sqrt(rated_w * ohm) if rated_w else None, working_v) if limit is not None
    ]
    if known and volts > min(known):
        return Ruling.TAKE_OUT, f"{sees}, above its limit of {significant(min(known))} V.", source
    if working_v is not None and rated_w is not None:
        return Ruling.MAY_STAY, f"{sees}, within its limit of {significant(min(known))} V.", source
    if working_v is None and volts > LEAST_WORKING_V:
        return Ruling.CANNOT_TELL, f"{sees}; its limiting voltage is not recorded.", source
    if rated_w is None:
        watts = significant(volts**2 / ohm, 2)
        return Ruling.CANNOT_TELL, f"{sees} and {watts} W; its rated power is not recorded.", source
    return Ruling.MAY_STAY, f"{sees}, below what the smallest usual resistor withstands.", source


def _electronics(test_v: float) -> _Answer:
    source = "BS 7671 643.3.2 and 643.3.3"
    if test_v > MAINS_CREST_V:
        reason = "Electronics may be destroyed: disconnect, or join L and N and test to earth only."
        return Ruling.TAKE_OUT, reason, source
    reason = "Below the crest of the supply, but the maker may still ask for disconnection."
    return Ruling.CANNOT_TELL, reason, source


def _surge(part: SurgeProtection, test_v: float) -> _Answer:
    source = "BS 7671 643.3.2"
    crest_v = math.sqrt(2) * part.continuous_v
    uc = f"√2 × Uc = {significant(crest_v)} V"
    if test_v > crest_v:
        return Ruling.TAKE_OUT, f"Above {uc} it conducts, ages, and makes the reading wrong.", source
    return (
        Ruling.MAY_STAY,
        f"Below {uc}; where it cannot be unplugged the circuit is tested at 250 V.",
        source,
    )
