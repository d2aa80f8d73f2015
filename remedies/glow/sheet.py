"""The whole of a glow worksheet in words and plain values: the page and the print are drawn from the same
``GlowSheet``."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from remedies.glow import table
from remedies.glow.candidates import Candidate, candidates
from remedies.glow.inputs import Inputs
from remedies.models import LoadPreset, ParallelLoad
from remedies.physics import cause as causes
from remedies.physics.comparison import Curve, capacitor_curve, resistor_curve
from remedies.physics.control_current import PastTheLamp, past_the_lamp
from remedies.physics.dimmer_load import DimmerLoad
from remedies.physics.operating import Conditions
from remedies.physics.packaged_device import Finding, what_is_inside
from remedies.physics.parts import LoadModule, Resistor, SuppressionCapacitor
from remedies.physics.quantity import Span, engineering, ohms, significant, span_text
from remedies.physics.several_readings import Judged, judge_readings
from remedies.physics.source_from_readings import SourceRange, Verdict
from remedies.physics.stray_voltage import FIGURES, Meter, Neighbour, Source, source

_COUPLING = FIGURES["coupling"]
_WORDS = ((0.8, "very likely"), (0.5, "likely"), (0.2, "possible"), (0.05, "unlikely"), (0.0, "hardly"))
_CURRENT_OF_ITS_OWN = ("control", "indicator")  # causes whose source is resistive and known


@dataclass(frozen=True)
class Belief:
    """How far the answers speak for one cause. percent: from 1 to 99, never certain."""

    key: str
    name: str
    words: str
    percent: int
    dangerous: bool
    meaning: str
    next_step: str


@dataclass(frozen=True)
class Asked:
    """A question with all its answers; ``against`` pairs an answer with the causes it speaks against."""

    key: str
    text: str
    why: str
    caution: str
    answers: tuple[str, ...]
    answer: str
    against: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True)
class Value:
    """A label, a value in words, and the range it may lie in."""

    label: str
    value: str
    span: str = ""


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


@dataclass(frozen=True)
class Result:
    """What one of the further sections says: values, what to mind, and the working."""

    heading: str
    values: tuple[Value, ...]
    notes: tuple[str, ...] = ()
    working: tuple[str, ...] = ()


@dataclass(frozen=True)
class Plot:
    """Lamp voltage when off against a remedy's value. unit: F or Ω. points: value, then lowest, typical and
    highest volts. chosen: value and typical volts of the remedy chosen, None where it is not of this kind."""

    unit: str
    points: tuple[tuple[float, float, float, float], ...]
    glow_low_v: float
    glow_high_v: float
    chosen: tuple[float, float] | None = None
    chosen_name: str = ""

    @property
    def in_words(self) -> str:
        """The plot for whoever does not see it."""
        (least, _, first_v, _), (most, _, last_v, _) = self.points[0], self.points[-1]
        what = "capacitor" if self.unit == "F" else "resistor"
        said = (
            f"Lamp voltage when off with a {what} across the lamp: {_volts(first_v)} at "
            f"{engineering(least, self.unit)}, {_volts(last_v)} at {engineering(most, self.unit)}. A lamp is "
            f"surely dark up to {_volts(self.glow_low_v)} and surely glows from {_volts(self.glow_high_v)}."
        )
        if self.chosen is None:
            return said
        return f"{said} Chosen: {self.chosen_name}, {_volts(self.chosen[1])}."


@dataclass(frozen=True)
class CircuitDrawn:
    """The case as a circuit: what each element is, in words. Empty texts leave the element out."""

    supply: str
    origin: str
    origin_value: str
    earth_value: str
    lamp: str
    open_circuit: str
    meters: tuple[str, ...]
    remedy: str
    remedy_kind: str

    @property
    def in_words(self) -> str:
        """The drawing for whoever does not see it."""
        said = [f"Supply {self.supply}; {self.origin} {self.origin_value} feeds the switched wire"]
        if self.open_circuit:
            said.append(f"open circuit {self.open_circuit}")
        if self.earth_value:
            said.append(f"to neutral and earth {self.earth_value}")
        said += self.meters
        said.append(f"remedy across the lamp: {self.remedy or 'none chosen'}")
        said.append(f"lamp: {self.lamp}")
        return "; ".join(said) + "."


@dataclass(frozen=True)
class GlowSheet:
    """All that a worksheet says. basis: what the remedies are calculated on. no_part: why no part is
    calculated, empty where parts are. usual_glow: words on the threshold."""

    beliefs: tuple[Belief, ...]
    asked: tuple[Asked, ...]
    next_question: Asked | None
    source: SourceFound
    basis: str
    no_part: tuple[str, ...]
    remedies: tuple[table.Remedy, ...]
    chosen: table.Remedy | None
    circuit: CircuitDrawn
    plot: Plot | None
    control: Result | None
    device: Result | None
    dimmer: Result | None
    weights_basis: str = causes.BASIS

    @property
    def can_fit(self) -> bool:
        return any(row.can_be_fitted for row in self.remedies)

    @property
    def not_excluded(self) -> tuple[Belief, ...]:
        """Dangerous faults that the answers leave more than hardly possible."""
        return tuple(belief for belief in self.beliefs if belief.dangerous and belief.percent > 1)


@dataclass(frozen=True)
class _Basis:
    """What is calculated on: the sources, the likeliest first, in words; or why on nothing."""

    sources: tuple[Source, ...] = ()
    words: str = ""
    no_part: tuple[str, ...] = ()


def glow_sheet(
    given: Inputs,
    *,
    chosen: str = "",
    presets: Iterable[LoadPreset] = (),
    with_slow: bool = True,
    kept: Sequence[table.Remedy] = (),
    fitted: ParallelLoad | None = None,
) -> GlowSheet:
    """Everything calculated from what was entered.

    chosen: key of the remedy to mark. with_slow: also what takes long. kept: the rows as they stood when the
    case was ended, shown as kept; fitted: the load that the case ended in.
    """
    judged = _judged(given)
    basis = _basis(given, judged)
    parts = candidates(basis.sources, given.conditions, presets, given.own) if basis.sources else []
    rows = tuple(kept) or (
        table.remedies(
            parts, basis.sources, given.conditions, given.situation, with_slow=with_slow, chosen=chosen
        )
        if basis.sources
        else table.without_parts(given.situation)
    )
    row = table.chosen_of(rows, chosen)
    part = Candidate(fitted) if fitted else next((one for one in parts if one.key == chosen), None)
    return GlowSheet(
        beliefs=beliefs(given.answers),
        asked=tuple(_asked(_QUESTIONS[key], answer) for key, answer in given.answers.items())
        + tuple(_asked(_QUESTIONS[key], "") for key in given.skipped),
        next_question=_next(given),
        source=_source_found(judged, given),
        basis=basis.words,
        no_part=basis.no_part,
        remedies=rows,
        chosen=row,
        circuit=_circuit(given, judged, basis, row, part),
        plot=_plot(basis, given.conditions, row, part),
        control=_control(given),
        device=_device(given),
        dimmer=_dimmer(given.dimmer),
    )


_QUESTIONS = {question.key: question for question in causes.QUESTIONS}
QUESTION_KEYS = tuple(_QUESTIONS)


def beliefs(answers) -> tuple[Belief, ...]:
    """The causes, likeliest first, as far as the answers go."""
    return tuple(
        Belief(
            key=each.cause.key,
            name=each.cause.name,
            words=next(word for least, word in _WORDS if each.weight >= least),
            percent=min(max(round(each.weight * 100), 1), 99),
            dangerous=each.cause.dangerous,
            meaning=each.cause.meaning,
            next_step=each.cause.next_step,
        )
        for each in causes.weigh(answers)
    )


def answers_of(key: str) -> tuple[str, ...]:
    """The answers that a question may have; none for a key that is no question."""
    return _QUESTIONS[key].answers if key in _QUESTIONS else ()


def _asked(question: causes.Question, answer: str) -> Asked:
    return Asked(
        key=question.key,
        text=question.text,
        why=question.why,
        caution=question.caution,
        answers=question.answers,
        answer=answer,
        against=tuple(
            (one, tuple(found.name for found in question.speaks_against(one)))
            for one in ((answer,) if answer else question.answers)
        ),
    )


def _next(given: Inputs) -> Asked | None:
    following = causes.next_question(given.answers, given.skipped)
    return _asked(following.question, "") if following else None


def _judged(given: Inputs) -> Judged | None:
    if len(given.readings) < 2:
        return None
    return judge_readings(
        given.readings,
        supply_v=given.conditions.supply_v,
        frequency_hz=given.conditions.frequency_hz,
    )


def _basis(given: Inputs, judged: Judged | None) -> _Basis:
    """Readings count before the data of a control, and those before a length of run."""
    fault = next((one for one in causes.CAUSES if one.key == given.cause and one.dangerous), None)
    if fault:
        return _Basis(no_part=(f"A fault, and no nuisance: {fault.name}. {fault.next_step}",))
    if judged:
        if judged.verdict is not Verdict.COUPLED:
            return _Basis(no_part=(judged.judgement.text,))
        if judged.leak and given.cause not in _CURRENT_OF_ITS_OWN:
            return _Basis(no_part=(judged.leak,))
        return _Basis(judged.sources, "Calculated on the meter readings.")
    if given.readings:
        return _Basis(
            no_part=(
                "One reading cannot tell a coupled voltage from a live conductor. Take another at the same "
                "place, with a meter of different impedance.",
            )
        )
    if given.control:
        return _Basis(
            (given.control.source(given.conditions),),
            "Calculated on the off-state current of the control, as its data say; nothing was measured.",
        )
    if given.run_m:
        return _Basis(
            _of_run(given.run_m, given.conditions),
            f"Estimated from {significant(given.run_m)} m of parallel run at "
            f"{_COUPLING['low_f_per_m'] * 1e12:.0f} to {_COUPLING['high_f_per_m'] * 1e12:.0f} pF for each "
            "metre, nothing to earth: the voltage on the high side. Two meter readings tell more.",
        )
    return _Basis(
        no_part=(
            "Enter two meter readings, or the off-state current of a control, or the metres of parallel run: "
            "parts are calculated on one of them.",
        )
    )


def sources_of(given: Inputs) -> tuple[Source, ...]:
    """What the remedies are calculated on; nothing where no part may be."""
    return _basis(given, _judged(given)).sources


def _of_run(metres: float, given: Conditions) -> tuple[Source, ...]:
    low, high = _COUPLING["low_f_per_m"], _COUPLING["high_f_per_m"]
    return tuple(
        source([Neighbour(given.supply_v, farads * metres)], frequency_hz=given.frequency_hz)
        for farads in (math.sqrt(low * high), low, high)
    )


def _source_found(judged: Judged | None, given: Inputs) -> SourceFound:
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
    yield _value("Open-circuit voltage", judgement.open_circuit_v, _volts)
    yield _value("Current available", judgement.short_circuit_a, lambda amps: engineering(amps, "A"))
    for number, one in enumerate(judgement.capacitive, 1):
        which = f", answer {number}" if len(judgement.capacitive) > 1 else ""
        yield from _capacitive_values(one, which)
    for one in judgement.resistive:
        yield _value("If it is a leak instead, its resistance", one.resistance_ohm, ohms)
    if judged.three and judged.three.nature:
        yield Value("Nature, by the third reading", judged.three.nature.value, judged.three.text)
    elif judged.three:
        yield Value("Nature, by the third reading", "left open", judged.three.text)


def _capacitive_values(one: SourceRange, which: str) -> Iterator[Value]:
    for label, span, write in (
        (f"If coupled{which}: to the live neighbour", one.coupling_f, _farads),
        (f"If coupled{which}: to neutral and earth", one.earth_f, _farads),
        (f"If coupled{which}: parallel run, about", one.metres, lambda metres: f"{significant(metres, 2)} m"),
    ):
        if span is not None:
            yield _value(label, span, write)


def _volts(volts: float) -> str:
    return f"{significant(volts)} V"


def _farads(farads: float) -> str:
    return engineering(farads, "F")


def _value(label: str, span: Span, write: Callable[[float], str]) -> Value:
    return Value(label, write(span.typical), "" if span.low == span.high else span_text(span, write))


def _circuit(
    given: Inputs, judged: Judged | None, basis: _Basis, row: table.Remedy | None, part: Candidate | None
) -> CircuitDrawn:
    coupled = judged.judgement.capacitive[0] if judged and judged.judgement.capacitive else None
    typical = basis.sources[0] if basis.sources else None
    origin, value, earth = "coupling", "not known yet", ""
    if coupled and coupled.coupling_f:
        value = _farads(coupled.coupling_f.typical)
        earth = _farads(coupled.earth_f.typical) if coupled.earth_f else ""
    elif typical and given.control:
        origin, value = "control", engineering(given.control.off_current_a, "A")
    elif typical:
        value = _farads(typical.capacitance_f)
    return CircuitDrawn(
        supply=f"{significant(given.conditions.supply_v)} V {significant(given.conditions.frequency_hz)} Hz",
        origin=origin,
        origin_value=value,
        earth_value=earth,
        lamp=f"{row.lamp} when off" if row and row.lamp else "glows",
        open_circuit=_open_circuit(judged, typical),
        meters=tuple(
            f"meter {_meter(reading.meter)} reads {_volts(reading.volts)}" for reading in given.readings
        ),
        remedy=part.load.in_brief() if part else "",
        remedy_kind=part.load.kind if part else "",
    )


def _open_circuit(judged: Judged | None, typical: Source | None) -> str:
    if judged and judged.judgement.open_circuit_v:
        return _volts(judged.judgement.open_circuit_v.typical)
    return _volts(typical.open_circuit_v) if typical else ""


def _meter(meter: Meter) -> str:
    return f"{ohms(meter.resistance_ohm)}" + (
        f" ∥ {_farads(meter.capacitance_f)}" if meter.capacitance_f else ""
    )


def _plot(basis: _Basis, given: Conditions, row: table.Remedy | None, part: Candidate | None) -> Plot | None:
    """Against capacitance, or against resistance when a resistor is chosen."""
    if not basis.sources:
        return None
    chosen, value = part.part if part else None, None
    match chosen:
        case SuppressionCapacitor():
            value = chosen.capacitance_f.typical * chosen.count
        case Resistor():
            value = chosen.total_ohm.typical / chosen.count
        case LoadModule():
            value = chosen.resistance_ohm.typical / chosen.count
    curve = (resistor_curve if isinstance(chosen, Resistor | LoadModule) else capacitor_curve)(
        basis.sources, given
    )
    marked = None
    if value is not None and chosen is not None and row:
        marked = (value, table.compared(chosen, basis.sources, given).evaluation.lamp_v.typical)
    return Plot(
        unit=curve.unit,
        points=_points(curve),
        glow_low_v=curve.glow_v.low,
        glow_high_v=curve.glow_v.high,
        chosen=marked,
        chosen_name=row.brief if row and marked else "",
    )


def _points(curve: Curve) -> tuple[tuple[float, float, float, float], ...]:
    return tuple((p.value, p.lamp_v.low, p.lamp_v.typical, p.lamp_v.high) for p in curve.points)


def _control(given: Inputs) -> Result | None:
    if given.control is None:
        return None
    past: PastTheLamp = past_the_lamp(given.control, given.conditions)
    shows = {True: "it glows", False: "it stays dark", None: "it may glow"}[past.glows]
    return Result(
        "What must pass beside the lamp",
        (
            Value("Lamp voltage with nothing beside it", _volts(past.lamp_v), shows),
            Value(
                "A resistor of at most",
                ohms(past.resistor_ohm),
                f"takes {engineering(past.resistor_w, 'W')} when on; exactly {ohms(past.largest_ohm)}",
            ),
            Value(
                "Or a capacitor of at least", _farads(past.capacitor_f), f"exactly {_farads(past.smallest_f)}"
            ),
        ),
        ("A control that uses the neutral passes nothing through the lamp, and needs no part.",),
        past.working,
    )


def _device(given: Inputs) -> Result | None:
    if given.device is None:
        return None
    found: Finding = what_is_inside(given.device, given.conditions)
    verdict = {
        True: "nothing speaks against it",
        False: "not acceptable",
        None: "too little is known to say",
    }[found.acceptable]
    power = []
    if found.power_w is not None:
        power = [_value("Dissipates when on", found.power_w, lambda watts: engineering(watts, "W"))]
    return Result(
        "What it probably is",
        (
            Value("Inside, probably", found.inside.value),
            *power,
            Value("Left in place", verdict),
            *(
                Value(f"Insulation test at {volts:.0f} V shows", f"{reading.text} MΩ")
                for volts, reading in found.insulation.items()
            ),
        ),
        found.reasons,
        found.working,
    )


def _dimmer(found: DimmerLoad | None) -> Result | None:
    if found is None:
        return None
    values = [
        Value("Load", f"{significant(found.load_w)} W"),
        Value("Short of the minimum by", f"{significant(found.short_w)} W" if found.short_w else "nothing"),
        Value("Lamps that would do alone", str(found.lamps_for_minimum)),
    ]
    if found.module:
        values.append(
            Value(
                "A load module of",
                ohms(found.module.resistance_ohm.typical),
                f"takes {engineering(found.module_w, 'W')} at full setting",
            )
        )
    if found.module_case_c:
        values.append(_value("Its case, about", found.module_case_c, lambda degrees: f"{degrees:.0f} °C"))
    return Result("Whether the load is enough", tuple(values), found.notes, found.working)
