"""What two readings of a stray voltage, with different meters, say of the source behind it.

Every answer is a range: the source is solved at the readings as written and at the corners of the meters'
accuracy. Voltages are in volts r.m.s., currents in amperes r.m.s., admittances in siemens.
"""

import cmath
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from remedies.physics.checked import InputError
from remedies.physics.exact_source import DIRECTION, Branch, ExactSource, branches
from remedies.physics.meter_reading import MeterReading
from remedies.physics.quantity import Span, engineering, ohms, significant
from remedies.physics.stray_voltage import (
    FIGURES,
    NOMINAL_V,
    Nature,
    Source,
    supply_frequency,
    supply_volts,
)

_COUPLING, _METER = FIGURES["coupling"], FIGURES["meter"]
_TOUCH_CURRENT_A: float = FIGURES["touch"]["steady_current_a"]
_NOTHING_V = 1.0  # below this on every meter there is no stray voltage worth explaining
_BETWEEN = tuple(cmath.rect(1, math.radians(degrees)) for degrees in range(10, 90, 10))
_POORLY_KNOWN = 0.20  # a quantity with a larger error than this is warned of

ASSUMPTIONS = (
    f"Coupling of {_COUPLING['low_f_per_m'] * 1e12:.0f} to {_COUPLING['high_f_per_m'] * 1e12:.0f} pF for "
    f"each metre of parallel run ({_COUPLING['source']}).",
    "One energised neighbour at the supply voltage. Several on different phases partly cancel, and then the "
    "run is longer than computed.",
    "A sine: true-r.m.s. and average-responding meters differ on a distorted supply, and a low-impedance "
    "input shows more of its harmonics.",
)


@dataclass(frozen=True, slots=True)
class SourceRange:
    """One source that explains two readings, with the range the meters' accuracy leaves.

    An end that the readings leave open is infinite (or zero). ``coupling_f`` (to the energised neighbour),
    ``earth_f`` (to neutral and earth) and ``metres`` of parallel run are given for a capacitive source.
    ``points`` are the sources at the readings as written (first) and at the corners of the meters' accuracy,
    for computing on with; a corner without limit to its current is left out.
    """

    nature: Nature
    open_circuit_v: Span
    admittance_s: Span
    short_circuit_a: Span
    points: tuple[Source, ...]
    frequency_hz: float
    coupling_f: Span | None
    earth_f: Span | None
    metres: Span | None
    warnings: tuple[str, ...]
    working: tuple[str, ...]

    @property
    def capacitance_f(self) -> Span:
        """The capacitance a meter sees [F], taking the source as capacitive."""
        return self.admittance_s.times(1 / (2 * math.pi * self.frequency_hz))

    @property
    def resistance_ohm(self) -> Span:
        """The resistance a meter sees [Ω], taking the source as resistive."""
        return self.admittance_s.falling(lambda siemens: 1 / siemens if siemens else math.inf)


class Verdict(StrEnum):
    """What two readings say of the source, before anyone acts on it."""

    NOTHING = "nothing"
    COUPLED = "coupled"
    STIFF = "stiff"
    UNDECIDED = "undecided"
    IMPOSSIBLE = "impossible"


ADVICE = {
    Verdict.NOTHING: "Both meters show next to nothing. That is no proof of isolation: prove dead as usual.",
    Verdict.COUPLED: "The readings fit a voltage coupled from a neighbour, with little current behind it. "
    "That is no proof of isolation: isolate and prove dead before touching conductors.",
    Verdict.STIFF: "Stop. This voltage has more current behind it than coupling along a cable run can pass. "
    "Treat the conductor as live, isolate, and find what feeds it.",
    Verdict.UNDECIDED: "Two readings with these meters cannot tell a coupled voltage from a live conductor. "
    "Treat it as live, and take another reading with an input of lower impedance.",
    Verdict.IMPOSSIBLE: "These readings cannot come from one passive source. Something changed between them, "
    "or a meter’s input is not what was entered: take both again at one place, nothing switched in between.",
}


@dataclass(frozen=True, slots=True)
class Judgement:
    """What two readings say: the verdict, in words, and every source that explains them.

    ``open_circuit_v``, ``admittance_s`` and ``short_circuit_a`` hold every answer, capacitive, resistive and
    mixed (looked at in steps of 10° of the source's own angle); None where no source explains the readings.
    ``points`` are all those sources, for computing on with.
    """

    verdict: Verdict
    text: str
    capacitive: tuple[SourceRange, ...] = ()
    resistive: tuple[SourceRange, ...] = ()
    open_circuit_v: Span | None = None
    admittance_s: Span | None = None
    short_circuit_a: Span | None = None
    points: tuple[Source, ...] = ()
    warnings: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ASSUMPTIONS

    @property
    def sources(self) -> tuple[Source, ...]:
        """Every source the readings allow, the likeliest first, for calculating a remedy on.

        Raises InputError unless the readings say that the voltage is a coupled one.
        """
        if self.verdict is not Verdict.COUPLED:
            raise InputError("remedy", f"none is calculated from these readings. {self.text}")
        return self.points


def judge(
    first: MeterReading, second: MeterReading, *, supply_v: float = NOMINAL_V, frequency_hz: float = 50.0
) -> Judgement:
    """What two readings of one conductor, with meters of different impedance, say of what feeds it.

    supply_v: voltage to neutral of the neighbour taken to couple [V]. frequency_hz [Hz].

    >>> from remedies.physics.stray_voltage import Meter
    >>> judge(MeterReading(100, Meter(10e6, 100e-12)), MeterReading(8, Meter(300e3))).verdict.value
    'coupled'
    >>> judge(MeterReading(230, Meter(10e6, 100e-12)), MeterReading(228, Meter(300e3))).verdict.value
    'stiff'
    """
    supply_volts(supply_v)
    supply_frequency(frequency_hz)
    if max(first.highest_v, second.highest_v) <= _NOTHING_V:
        return Judgement(Verdict.NOTHING, ADVICE[Verdict.NOTHING])
    capacitive, resistive = (
        tuple(
            _range(nature, branch, first, second, supply_v, frequency_hz)
            for branch in branches(first, second, DIRECTION[nature], frequency_hz)
        )
        for nature in Nature
    )
    mixed = [
        (branch, direction)
        for direction in _BETWEEN
        for branch in branches(first, second, direction, frequency_hz)
    ]
    if not (capacitive or resistive or mixed):
        return Judgement(Verdict.IMPOSSIBLE, ADVICE[Verdict.IMPOSSIBLE])
    pure = [(each.open_circuit_v, each.admittance_s, each.short_circuit_a) for each in capacitive + resistive]
    between = [_spans(branch.points, branch.exact or branch.points[0]) for branch, _ in mixed]
    volts, own, amps = (_hull(spans) for spans in zip(*pure, *between, strict=True))
    verdict = _verdict(amps, supply_v, frequency_hz)
    points = [source for answer in capacitive + resistive for source in answer.points]
    points += [each for branch, direction in mixed for each in _sources(branch, direction, frequency_hz)]
    return Judgement(
        verdict,
        ADVICE[verdict],
        capacitive,
        resistive,
        volts,
        own,
        amps,
        tuple(points),
        tuple(_warnings(first, second, len(capacitive), volts, amps, supply_v, frequency_hz)),
    )


def _verdict(amps: Span, supply_v: float, frequency_hz: float) -> Verdict:
    # More current than the longest run at the tightest coupling can pass has come another way.
    most = 2 * math.pi * frequency_hz * _COUPLING["high_f_per_m"] * _COUPLING["longest_run_m"] * supply_v
    if amps.low > most:
        return Verdict.STIFF
    return Verdict.COUPLED if amps.high <= most else Verdict.UNDECIDED


def _hull(spans: Sequence[Span]) -> Span:
    """The range that holds every one of these; its typical value is the first one's."""
    return Span(min(span.low for span in spans), spans[0].typical, max(span.high for span in spans))


def _range(
    nature: Nature,
    branch: Branch,
    first: MeterReading,
    second: MeterReading,
    supply_v: float,
    frequency_hz: float,
) -> SourceRange:
    omega = 2 * math.pi * frequency_hz
    points = branch.points
    typical = branch.exact or min(points, key=lambda point: point.amps)
    volts, own, amps = _spans(points, typical)
    coupling = earth = metres = None
    if nature is Nature.CAPACITIVE:
        coupling = amps.times(1 / (omega * supply_v))
        earth = _earth(points, typical, supply_v, omega)
        low, high = _COUPLING["low_f_per_m"], _COUPLING["high_f_per_m"]
        metres = Span(coupling.low / high, coupling.typical / math.sqrt(low * high), coupling.high / low)
    return SourceRange(
        nature,
        volts,
        own,
        amps,
        tuple(_sources(branch, DIRECTION[nature], frequency_hz)),
        frequency_hz,
        coupling,
        earth,
        metres,
        tuple(_poorly_known(branch.exact, first, second)),
        tuple(_working(nature, branch.exact, first, second, supply_v, frequency_hz)),
    )


def _spans(points: Sequence[ExactSource], typical: ExactSource) -> tuple[Span, Span, Span]:
    """Open voltage, own admittance and current of these sources."""

    def span(value: Callable[[ExactSource], float]) -> Span:
        every = [value(point) for point in points]
        return Span(min(every), value(typical), max(every))

    return span(lambda point: point.volts), span(lambda point: point.own_s), span(lambda point: point.amps)


def _earth(points: Sequence[ExactSource], typical: ExactSource, supply_v: float, omega: float) -> Span | None:
    """What of the source's capacitance is to neutral and earth: the whole less the coupling."""
    if not math.isfinite(typical.own_s):
        return None

    def rest(point: ExactSource) -> float:
        return max((point.own_s - point.amps / supply_v) / omega, 0.0)

    every = [rest(point) for point in points if math.isfinite(point.own_s)]
    return Span(min(every), rest(typical), max(every))


def _sources(branch: Branch, direction: complex, frequency_hz: float) -> Iterator[Source]:
    for point in branch.points:
        if math.isfinite(point.own_s):
            yield Source(point.amps, point.own_s * direction, frequency_hz)


@dataclass(frozen=True, slots=True)
class Errors:
    """Relative errors of what two readings give, to first order."""

    admittance: float
    volts: float
    current: float


def first_order_errors(loading: tuple[float, float], error1: float, error2: float) -> Errors:
    """δY = (ε1+ε2)/|h1−h2|, δVoc = (|h2|ε1+|h1|ε2)/|h1−h2|, δIsc = (|1−h2|ε1+|1−h1|ε2)/|h1−h2|.

    ``loading`` holds h of each meter (0 does not load the source, 1 swamps it); errors are fractions. Good
    below about 20 %; above, only the corners of the readings' accuracy say how far the answer may lie.

    >>> first_order_errors((0.0, 1.0), 0.01, 0.01)
    Errors(admittance=0.02, volts=0.01, current=0.01)
    """
    h1, h2 = loading
    apart = abs(h1 - h2)
    if apart == 0:
        return Errors(math.inf, math.inf, math.inf)
    return Errors(
        (error1 + error2) / apart,
        (abs(h2) * error1 + abs(h1) * error2) / apart,
        (abs(1 - h2) * error1 + abs(1 - h1) * error2) / apart,
    )


def _poorly_known(exact: ExactSource | None, first: MeterReading, second: MeterReading) -> list[str]:
    if not exact:
        return ["No source gives exactly these readings; the range holds those within the meters’ accuracy."]
    errors = first_order_errors(exact.loading, first.relative_error, second.relative_error)
    named = {
        "the source’s own impedance": errors.admittance,
        "the open voltage": errors.volts,
        "the current available and the length of run": errors.current,
    }
    return [
        f"With these meters {name} is known only to about ±{significant(error * 100, 2)} %."
        for name, error in named.items()
        if error > _POORLY_KNOWN
    ]


def _warnings(
    first: MeterReading,
    second: MeterReading,
    coupled: int,
    volts: Span,
    amps: Span,
    supply_v: float,
    frequency_hz: float,
) -> list[str]:
    said = []
    inputs = sorted(abs(reading.meter.admittance(frequency_hz)) for reading in (first, second))
    if inputs[1] < 2 * inputs[0]:
        said.append("The two inputs are nearly alike, so the readings say little: use one of 3 kΩ to 400 kΩ.")
    if coupled > 1:
        said.append("Two coupled sources fit these readings; both are listed. A third meter decides.")
    if volts.low > supply_v * 1.1:
        said.append(
            f"At least {significant(volts.low)} V open circuit is more than the {significant(supply_v)} V "
            "taken as its origin: another phase couples, or a reading is wrong."
        )
    if amps.high > _TOUCH_CURRENT_A:
        limit = engineering(_TOUCH_CURRENT_A, "A")
        said.append(f"It may pass more than {limit}, which can be felt ({FIGURES['touch']['source']}).")
    if first.gain_error == second.gain_error == _METER["gain_error"]:
        said.append(f"Accuracy of the meters: {_METER['source']}.")
    return said


def _working(
    nature: Nature,
    exact: ExactSource | None,
    first: MeterReading,
    second: MeterReading,
    supply_v: float,
    frequency_hz: float,
) -> list[str]:
    if not exact:
        return []
    omega = 2 * math.pi * frequency_hz
    name, value = "C", engineering(exact.own_s / omega, "F")
    if nature is Nature.RESISTIVE:
        name, value = "R", ohms(1 / exact.own_s)
    h1, h2 = (significant(h, 2) for h in exact.loading)
    errors = first_order_errors(exact.loading, first.relative_error, second.relative_error)
    return [
        f"{significant(first.volts)} V on {first.meter} and {significant(second.volts)} V on {second.meter} "
        f"both fit {name} = {value}",
        f"Isc = V1·|Y + Ym1| = {engineering(exact.amps, 'A')}",
        f"Voc = Isc / |Y| = {engineering(exact.amps, 'A')} / {engineering(exact.own_s, 'S')} = "
        f"{significant(exact.volts)} V",
        *(
            [
                f"Cc = Isc / (ω·Vs) = {engineering(exact.amps, 'A')} / ({significant(omega, 5)} × "
                f"{significant(supply_v)} V) = {engineering(exact.amps / (omega * supply_v), 'F')}"
            ]
            if nature is Nature.CAPACITIVE
            else []
        ),
        f"Loading h = {h1} and {h2} (0 does not load, 1 swamps): errors to first order "
        f"±{_percent(errors.admittance)} of {name}, ±{_percent(errors.volts)} of Voc, "
        f"±{_percent(errors.current)} of Isc",
    ]


def _percent(fraction: float) -> str:
    return f"{significant(fraction * 100, 2)} %"
