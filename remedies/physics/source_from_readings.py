"""What two or three readings of a stray voltage say of the source behind it.

A source is a voltage Voc behind its own admittance Y; a meter of admittance Ym reads V = Voc·|Y| / |Y + Ym|.
Two readings with different meters give Voc and |Y| once it is said whether the source is capacitive or
resistive, or at what angle between the two; three readings tell which it is.

Every answer is a range: the source is solved at the readings as written and at the corners of the meters'
accuracy. Voltages are in volts r.m.s., currents in amperes r.m.s., admittances in siemens.
"""

import cmath
import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from remedies.physics.checked import InputError, number
from remedies.physics.quantity import Span, engineering, ohms, significant
from remedies.physics.stray_voltage import (
    FIGURES,
    NOMINAL_V,
    Meter,
    Source,
    supply_frequency,
    supply_volts,
)

_COUPLING, _METER = FIGURES["coupling"], FIGURES["meter"]
_TOUCH_CURRENT_A: float = FIGURES["touch"]["steady_current_a"]
_NOTHING_V = 1.0  # below this on every meter there is no stray voltage worth explaining
_ROUNDING = 1e-6  # what solving for a source may be off by, relative
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
class MeterReading:
    """A voltage read [V], and the meter: its accuracy is ±(gain error × reading + digits × resolution)."""

    volts: float
    meter: Meter
    gain_error: float = _METER["gain_error"]
    digits: int = _METER["digits"]
    resolution_v: float = _METER["resolution_v"]

    def __post_init__(self) -> None:
        instead = "Give the volts shown, zero or more."
        number(
            "meter reading", self.volts, "V", low=0, high=FIGURES["limits"]["supply_high_v"], instead=instead
        )
        instead = "Give a fraction: 0.02 for ±2 %."
        number("meter gain error", self.gain_error, "", low=0, high=0.5, instead=instead)
        number("meter digits", self.digits, "", low=0, high=100, instead="Give the digits of the data sheet.")
        instead = "Give the last place of the display in volts: 0.1."
        number("meter resolution", self.resolution_v, "V", low=0, high=10, instead=instead)

    @property
    def error_v(self) -> float:
        return self.volts * self.gain_error + self.digits * self.resolution_v

    @property
    def relative_error(self) -> float:
        return self.error_v / self.volts if self.volts else math.inf

    @property
    def lowest_v(self) -> float:
        return max(self.volts - self.error_v, 0.0)

    @property
    def highest_v(self) -> float:
        return self.volts + self.error_v


class Nature(StrEnum):
    """What a source may be: coupled through capacitance, or fed through resistance (leakage)."""

    CAPACITIVE = "capacitive"
    RESISTIVE = "resistive"


@dataclass(frozen=True, slots=True)
class _Point:
    """One exact answer: open voltage, the source's own admittance, current, and how each meter loads it.

    ``loading`` is h of each meter: 0 where it does not load the source, 1 where it swamps it.
    """

    volts: float
    own_s: float
    amps: float
    loading: tuple[float, float] = (0.0, 0.0)

    @property
    def branch(self) -> bool:
        return self.loading[0] > self.loading[1]


# Every source is own·direction with own above zero. Turning the meters back by the same angle makes any
# source a plain number, so that one set of formulas serves capacitive, resistive and mixed sources.
_DIRECTION = {Nature.CAPACITIVE: 1j, Nature.RESISTIVE: 1 + 0j}
_BETWEEN = tuple(cmath.rect(1, math.radians(degrees)) for degrees in range(10, 90, 10))


def _points(v1: float, y1: complex, v2: float, y2: complex) -> list[_Point]:
    """The sources that give exactly these two readings with meters turned into their direction: none to two.

    (V1²−V2²)·own² + 2·(V1²·b1 − V2²·b2)·own + V1²·|y1|² − V2²·|y2|² = 0, own > 0, bᵢ the real part of yᵢ.
    """
    square = v1**2 - v2**2
    half = v1**2 * y1.real - v2**2 * y2.real
    constant = (v1 * abs(y1)) ** 2 - (v2 * abs(y2)) ** 2
    found = []
    for own in _positive_roots(square, half, constant):
        amps = v1 * abs(own + y1)
        found.append(_Point(amps / own, own, amps, (_loading(own, y1), _loading(own, y2))))
    return found


def _positive_roots(square: float, half: float, constant: float) -> list[float]:
    """Roots above zero of square·x² + 2·half·x + constant, without loss of digits."""
    under = half**2 - square * constant
    if under < 0:
        return []
    sum_ = -(half + math.copysign(math.sqrt(under), half))
    roots = {sum_ / square if square else math.inf, constant / sum_ if sum_ else math.inf}
    return sorted(root for root in roots if 0 < root < math.inf)


def _loading(own: float, meter: complex) -> float:
    return 1 - own * (own + meter.real) / abs(own + meter) ** 2


@dataclass(frozen=True, slots=True)
class _Branch:
    """Sources of one direction along which the ratio of the readings only rises, or only falls.

    ``exact`` gives the readings as written; ``points`` hold it and those at the corners of the accuracy.
    """

    exact: _Point | None
    points: tuple[_Point, ...]


def _branches(
    first: MeterReading, second: MeterReading, direction: complex, frequency_hz: float
) -> list[_Branch]:
    y1, y2 = (each.meter.admittance(frequency_hz) / direction for each in (first, second))
    pairs = [
        (first.volts, second.volts),
        *itertools.product((first.lowest_v, first.highest_v), (second.lowest_v, second.highest_v)),
    ]
    answers = [_points(v1, y1, v2, y2) for v1, v2 in pairs]
    branches = []
    # Two answers to one pair of readings always lie on different branches.
    for branch in sorted({point.branch for point in itertools.chain(*answers)}):
        at_pairs = [next((point for point in each if point.branch is branch), None) for each in answers]
        known = next(pair for pair, point in zip(pairs, at_pairs, strict=True) if point)
        points = [point for point in at_pairs if point]
        for pair, point in zip(pairs, at_pairs, strict=True):
            if point is None:
                points += _open_end(first, second, y1, y2, branch is (_ratio(pair) > _ratio(known)))
        branches.append(_Branch(at_pairs[0], tuple(points)))
    return branches


def _ratio(pair: tuple[float, float]) -> float:
    return pair[0] / pair[1] if pair[1] else math.inf


def _open_end(
    first: MeterReading, second: MeterReading, y1: complex, y2: complex, unlimited: bool
) -> list[_Point]:
    """Where a branch runs to when no source on it gives a pair of readings.

    Either to sources without limit to their current, of a voltage that both readings allow, or to sources of
    constant current without an open voltage.
    """
    if unlimited:
        ends = max(first.lowest_v, second.lowest_v), min(first.highest_v, second.highest_v)
        return [_Point(volts, math.inf, math.inf) for volts in ends]
    ends = (
        max(first.lowest_v * abs(y1), second.lowest_v * abs(y2)),
        min(first.highest_v * abs(y1), second.highest_v * abs(y2)),
    )
    return [_Point(math.inf, 0.0, amps) for amps in ends]


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


_ADVICE = {
    Verdict.NOTHING: "Both meters show next to nothing. That is no proof of isolation: prove dead as usual.",
    Verdict.COUPLED: "The readings fit a voltage coupled from a neighbour, with little current behind it. "
    "That is no proof of isolation: isolate and prove dead before touching conductors.",
    Verdict.STIFF: "Stop. More current stands behind this voltage than coupling along a cable run can pass. "
    "Treat the conductor as live, isolate, and find what feeds it.",
    Verdict.UNDECIDED: "Two readings with these meters cannot tell a coupled voltage from a live conductor. "
    "Treat it as live, and take another reading with an input of lower impedance.",
    Verdict.IMPOSSIBLE: "These readings cannot come from one passive source. Something changed between them, "
    "or a meter's input is not what was entered: take both again at one place, nothing switched in between.",
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

    >>> judge(MeterReading(100, Meter(10e6, 100e-12)), MeterReading(8, Meter(300e3))).verdict.value
    'coupled'
    >>> judge(MeterReading(230, Meter(10e6, 100e-12)), MeterReading(228, Meter(300e3))).verdict.value
    'stiff'
    """
    supply_volts(supply_v)
    supply_frequency(frequency_hz)
    if max(first.highest_v, second.highest_v) <= _NOTHING_V:
        return Judgement(Verdict.NOTHING, _ADVICE[Verdict.NOTHING])
    capacitive, resistive = (
        tuple(
            _range(nature, branch, first, second, supply_v, frequency_hz)
            for branch in _branches(first, second, _DIRECTION[nature], frequency_hz)
        )
        for nature in Nature
    )
    mixed = [
        (branch, direction)
        for direction in _BETWEEN
        for branch in _branches(first, second, direction, frequency_hz)
    ]
    if not (capacitive or resistive or mixed):
        return Judgement(Verdict.IMPOSSIBLE, _ADVICE[Verdict.IMPOSSIBLE])
    pure = [(each.open_circuit_v, each.admittance_s, each.short_circuit_a) for each in capacitive + resistive]
    between = [_spans(branch.points, branch.exact or branch.points[0]) for branch, _ in mixed]
    volts, own, amps = (_hull(spans) for spans in zip(*pure, *between, strict=True))
    verdict = _verdict(amps, supply_v, frequency_hz)
    points = [source for answer in capacitive + resistive for source in answer.points]
    points += [each for branch, direction in mixed for each in _sources(branch, direction, frequency_hz)]
    return Judgement(
        verdict,
        _ADVICE[verdict],
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
    branch: _Branch,
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
        tuple(_sources(branch, _DIRECTION[nature], frequency_hz)),
        frequency_hz,
        coupling,
        earth,
        metres,
        tuple(_poorly_known(branch.exact, first, second)),
        tuple(_working(nature, branch.exact, first, second, supply_v, frequency_hz)),
    )


def _spans(points: Sequence[_Point], typical: _Point) -> tuple[Span, Span, Span]:
    """Open voltage, own admittance and current of these sources."""

    def span(value: Callable[[_Point], float]) -> Span:
        every = [value(point) for point in points]
        return Span(min(every), value(typical), max(every))

    return span(lambda point: point.volts), span(lambda point: point.own_s), span(lambda point: point.amps)


def _earth(points: Sequence[_Point], typical: _Point, supply_v: float, omega: float) -> Span | None:
    """What of the source's capacitance is to neutral and earth: the whole less the coupling."""
    if not math.isfinite(typical.own_s):
        return None

    def rest(point: _Point) -> float:
        return max((point.own_s - point.amps / supply_v) / omega, 0.0)

    every = [rest(point) for point in points if math.isfinite(point.own_s)]
    return Span(min(every), rest(typical), max(every))


def _sources(branch: _Branch, direction: complex, frequency_hz: float) -> Iterator[Source]:
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


def _poorly_known(exact: _Point | None, first: MeterReading, second: MeterReading) -> list[str]:
    if not exact:
        return ["No source gives exactly these readings; the range holds those within the meters' accuracy."]
    errors = first_order_errors(exact.loading, first.relative_error, second.relative_error)
    named = {
        "the source's own impedance": errors.admittance,
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
    exact: _Point | None,
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


@dataclass(frozen=True, slots=True)
class ThreeReadings:
    """What three readings say: ``nature`` None where the meters' accuracy leaves it open.

    ``degrees`` is the angle of the source's own admittance: 90 purely capacitive, 0 purely resistive.
    """

    nature: Nature | None
    text: str
    typical: Source | None
    degrees: Span | None
    open_circuit_v: Span | None
    short_circuit_a: Span | None


def judge_three(
    readings: tuple[MeterReading, MeterReading, MeterReading], *, frequency_hz: float = 50.0
) -> ThreeReadings:
    """Whether a source is capacitive or resistive, from three readings with three different meters.

    K/Vᵢ² = S + 2G·Gᵢ + 2B·Bᵢ + |Ymᵢ|² with K = Isc² and S = G² + B². It is linear in K, S and G once B is
    given; S = G² + B² then gives B.
    """
    supply_frequency(frequency_hz)
    volts = [reading.volts for reading in readings]
    corners = itertools.product(*((reading.lowest_v, reading.highest_v) for reading in readings))
    pure = {nature: _pure(nature, readings, frequency_hz) for nature in Nature}
    meters = [reading.meter.admittance(frequency_hz) for reading in readings]
    exact = [_of_three(each, meters, frequency_hz) for each in (volts, *map(list, corners))]
    every = [found for found in (*exact, *pure[Nature.CAPACITIVE], *pure[Nature.RESISTIVE]) if found]
    if not every:
        return ThreeReadings(None, _ADVICE[Verdict.IMPOSSIBLE], None, None, None, None)
    typical = every[0]
    angles = [math.degrees(cmath.phase(answer.admittance_s)) for answer in every]
    degrees = Span(min(angles), angles[0], max(angles))
    nature = None
    if degrees.low >= 60:
        nature = Nature.CAPACITIVE
    elif degrees.high <= 30:
        nature = Nature.RESISTIVE
    text = {
        Nature.CAPACITIVE: "Coupled through capacitance: the readings fit nothing else within the accuracy.",
        Nature.RESISTIVE: "Fed through resistance: look for damp insulation, or an indicator lamp.",
        None: "The accuracy of these meters leaves open whether it is capacitance or leakage.",
    }[nature]
    open_v = [answer.open_circuit_v for answer in every]
    amps = [answer.short_circuit_a for answer in every]
    return ThreeReadings(
        nature,
        text,
        typical,
        degrees,
        Span(min(open_v), open_v[0], max(open_v)),
        Span(min(amps), amps[0], max(amps)),
    )


def _pure(nature: Nature, readings: Sequence[MeterReading], frequency_hz: float) -> list[Source]:
    """Sources of one nature alone that give all the readings within the meters' accuracy."""
    direction = _DIRECTION[nature]
    fitting = []
    for one, other in itertools.combinations(readings, 2):
        y1, y2 = (each.meter.admittance(frequency_hz) / direction for each in (one, other))
        ends = ((each.volts, each.lowest_v, each.highest_v) for each in (one, other))
        for v1, v2 in itertools.product(*ends):
            for point in _points(v1, y1, v2, y2):
                found = Source(point.amps, point.own_s * direction, frequency_hz)
                if all(_within(reading, found.reading(reading.meter)) for reading in readings):
                    fitting.append(found)
    return fitting


def _within(reading: MeterReading, volts: float) -> bool:
    return reading.lowest_v * (1 - _ROUNDING) <= volts <= reading.highest_v * (1 + _ROUNDING)


def _of_three(volts: list[float], meters: list[complex], frequency_hz: float) -> Source | None:
    """The mixed source that gives exactly these readings; None when there is none."""
    if min(volts) <= 0:
        return None
    rows = [(1 / v**2, -1.0, -2 * y.real) for v, y in zip(volts, meters, strict=True)]
    fixed = _solve(rows, [abs(y) ** 2 for y in meters])
    per_b = _solve(rows, [2 * y.imag for y in meters])
    if fixed is None or per_b is None:
        return None
    (_, s0, g0), (_, s1, g1) = fixed, per_b
    # s0 + s1·B = (g0 + g1·B)² + B²
    square, half, constant = g1**2 + 1, g0 * g1 - s1 / 2, g0**2 - s0
    under = half**2 - square * constant
    if under < 0:
        return None
    susceptance = (-half + math.sqrt(under)) / square
    own = complex(g0 + g1 * susceptance, susceptance)
    trace = _ROUNDING * abs(own)
    if own == 0 or min(own.real, own.imag) < -trace:
        return None
    own = complex(max(own.real, 0.0), max(own.imag, 0.0))
    return Source(volts[0] * abs(own + meters[0]), own, frequency_hz)


def _solve(rows: list[tuple[float, float, float]], right: list[float]) -> tuple[float, float, float] | None:
    """Three linear equations by determinants; None when they are not independent."""

    def determinant(a: list[tuple[float, float, float]]) -> float:
        return sum(
            a[0][i] * (a[1][(i + 1) % 3] * a[2][(i + 2) % 3] - a[1][(i + 2) % 3] * a[2][(i + 1) % 3])
            for i in range(3)
        )

    def with_column(index: int) -> list[tuple[float, float, float]]:
        changed = [[*row[:index], value, *row[index + 1 :]] for row, value in zip(rows, right, strict=True)]
        return [(row[0], row[1], row[2]) for row in changed]

    whole = determinant(rows)
    scale = math.prod(math.hypot(*row) for row in zip(*rows, strict=True))
    if abs(whole) < 1e-12 * scale:
        return None
    x, y, z = (determinant(with_column(index)) / whole for index in range(3))
    return x, y, z
