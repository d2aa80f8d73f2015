"""What the meter readings of a worksheet say of the source, in words."""

from collections.abc import Iterator
from dataclasses import dataclass

from remedies.glow.values import Value, in_farads, in_volts, value_of
from remedies.physics.quantity import engineering, ohms, significant
from remedies.physics.several_readings import Judged
from remedies.physics.source_from_readings import SourceRange, Verdict


@dataclass(frozen=True)
class SourceFound:
    """What the readings say. loud: stop and treat as live. verdict: its code, empty without readings."""

    verdict: str = ""
    loud: bool = False
    text: str = ""
    leak: str = ""
    values: tuple[Value, ...] = ()
    warnings: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()


def source_found(judged: Judged | None) -> SourceFound:
    """The verdict with its values and working; empty without two readings."""
    if judged is None:
        return SourceFound()
    judgement = judged.judgement
    return SourceFound(
        verdict=judgement.verdict.value,
        loud=judgement.verdict in (Verdict.STIFF, Verdict.UNDECIDED),
        text=judgement.text,
        leak=judged.leak,
        values=tuple(_source_values(judged)),
        warnings=(
            *judgement.warnings,
            *(line for one in (*judgement.capacitive, *judgement.resistive) for line in one.warnings),
        ),
        working=tuple(line for one in (*judgement.capacitive, *judgement.resistive) for line in one.working),
        assumptions=judgement.assumptions if judgement.points else (),
    )


def _source_values(judged: Judged) -> Iterator[Value]:
    judgement = judged.judgement
    if judgement.open_circuit_v is None or judgement.short_circuit_a is None:
        return
    yield value_of("Open-circuit voltage", judgement.open_circuit_v, in_volts)
    yield value_of("Current available", judgement.short_circuit_a, lambda amps: engineering(amps, "A"))
    for number, one in enumerate(judgement.capacitive, 1):
        which = f", answer {number}" if len(judgement.capacitive) > 1 else ""
        yield from _capacitive_values(one, which)
    for one in judgement.resistive:
        yield value_of("If it is a leak instead, its resistance", one.resistance_ohm, ohms)
    if judged.three and judged.three.nature:
        yield Value("Nature, by the third reading", judged.three.nature.value, judged.three.text)
    elif judged.three:
        yield Value("Nature, by the third reading", "left open", judged.three.text)


def _capacitive_values(one: SourceRange, which: str) -> Iterator[Value]:
    for label, span, write in (
        (f"If coupled{which}: to the live neighbour", one.coupling_f, in_farads),
        (f"If coupled{which}: to neutral and earth", one.earth_f, in_farads),
        (f"If coupled{which}: parallel run, about", one.metres, lambda metres: f"{significant(metres, 2)} m"),
    ):
        if span is not None:
            yield value_of(label, span, write)
