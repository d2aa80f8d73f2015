"""An explanation in words: what the reading says, and what to measure next."""

import math
from collections.abc import Iterator, Sequence

from remedies.physics.direct_current import current_at
from remedies.physics.explanation import Explanation, Verdict
from remedies.physics.known_currents import Known
from remedies.physics.measured import Measured, Settling
from remedies.physics.parts import NEON_MAINTAIN_V, VARISTOR_EXPONENT, Kind
from remedies.physics.quantity import Span, microfarads, ohms, significant, span_text
from remedies.physics.two_voltages import SAME_VOLTAGE, Law, law_of


def lines_of(answer: Explanation, measured: Measured, second: Measured | None, known: Known) -> Iterator[str]:
    """Plain sentences, in order."""
    expected = answer.expected
    yield f"Expected with the registered loads in: {expected.text} MΩ. {expected.voltage_text}"
    if measured.mohm and known.terminal_v(measured.mohm) < measured.nominal_v:
        volts = significant(known.terminal_v(measured.mohm))
        yield f"At the current limit it was taken at about {volts} V, not {measured.nominal_v:g} V."
    yield from expected.reasons
    yield from _verdict_lines(answer)
    if answer.shares:
        told = "; ".join(f"{share.law} {_percent(share.share)}" for share in answer.shares)
        yield f"Of the two readings: {told}. Poor insulation looks the same as a resistor."
    elif second and answer.verdict is Verdict.LOWER:
        yield "The two readings do not tell a resistance, a neon and a varistor apart."
    if answer.unregistered_capacitance:
        size = f", about {microfarads(answer.capacitance_f.typical, 2)}" if answer.capacitance_f else ""
        yield f"It climbed: an unregistered capacitor may be across{size}. Discharge before touching."


def _verdict_lines(answer: Explanation) -> Iterator[str]:
    match answer.verdict:
        case Verdict.EXPLAINED if not answer.expected.across:
            yield "Nothing is registered across this test; the reading is that of the insulation."
        case Verdict.EXPLAINED if answer.cable:
            yield f"The reading is {Verdict.EXPLAINED}. The insulation behind is {answer.cable.text}."
        case Verdict.LOWER if answer.missing_ohm:
            yield f"The reading is {Verdict.LOWER}: {_missing_text(answer.missing_ohm)}."
        case Verdict.HIGHER:
            yield f"The reading is {Verdict.HIGHER}: taken out, switched out or failed open."
            if answer.absences:
                told = "; or without ".join(absence.text for absence in answer.absences)
                yield f"The numbers fit without: {told}."
            else:
                yield "Leaving out registered loads does not make the numbers fit: check leads and switches."


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


def next_step(
    answer: Explanation,
    measured: Measured,
    second: Measured | None,
    known: Known,
    voltages: Sequence[float],
) -> str:
    """The one measurement that would decide most; empty where none is asked for."""
    match answer.verdict:
        case Verdict.EXPLAINED if any(part.path or part.varistor for part in answer.expected.across):
            return "Disconnect the registered loads and test again: only that shows the insulation itself."
        case Verdict.EXPLAINED:
            return ""
        case Verdict.HIGHER:
            return "Check whether those loads are still fitted and switched in, and correct the register."
    lower = [volts for volts in voltages if volts < known.terminal_v(measured.mohm) * (1 - SAME_VOLTAGE)]
    if (
        lower
        and second is None
        and any(c.kind and law_of(c.kind) is not Law.LINEAR for c in answer.candidates)
    ):
        return _other_voltage(answer, max(lower), known)
    if measured.settling is Settling.NOT_WATCHED:
        return "Hold the button and watch: a reading that climbs slowly has a capacitor behind it."
    return "Split the circuit and test each half: see where to look first."


def _other_voltage(answer: Explanation, volts: float, known: Known) -> str:
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
