"""What two or three readings of a stray voltage say of the source behind it.

A source is a voltage Voc behind its own admittance Y; a meter of admittance Ym reads V = Voc·|Y| / |Y + Ym|.
Two readings with different meters give Voc and |Y| once it is said whether the source is capacitive or
resistive; a mixed one lies between the two answers in Voc and |Y|. Three readings tell which it is.

Every answer is a range: the source is solved at the readings as written and at the corners of the meters'
accuracy. Voltages are in volts r.m.s., currents in amperes r.m.s., admittances in siemens.
"""

import cmath
import itertools
import math
from collections.abc import Sequence
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


def _parts(nature: Nature, meter: complex) -> tuple[float, float]:
    # The meter's part of the same nature as the source, which adds to it directly, and the other part.
    return (meter.imag, meter.real) if nature is Nature.CAPACITIVE else (meter.real, meter.imag)


def _points(nature: Nature, v1: float, y1: complex, v2: float, y2: complex) -> list[_Point]:
    """The sources of one nature that give exactly these two readings: none, one or two.

    With b the source's own susceptance (or conductance), bᵢ the same part of each meter:
    (V1²−V2²)·b² + 2·(V1²·b1 − V2²·b2)·b + V1²·|y1|² − V2²·|y2|² = 0, b > 0.
    """
    (b1, _), (b2, _) = _parts(nature, y1), _parts(nature, y2)
    square = v1**2 - v2**2
    half = v1**2 * b1 - v2**2 * b2
    constant = (v1 * abs(y1)) ** 2 - (v2 * abs(y2)) ** 2
    return [_point(nature, own, v1, y1, y2) for own in _positive_roots(square, half, constant)]


def _positive_roots(square: float, half: float, constant: float) -> list[float]:
    """Roots above zero of square·x² + 2·half·x + constant, without loss of digits."""
    under = half**2 - square * constant
    if under < 0:
        return []
    sum_ = -(half + math.copysign(math.sqrt(under), half))
    roots = {sum_ / square if square else math.inf, constant / sum_ if sum_ else math.inf}
    return sorted(root for root in roots if 0 < root < math.inf)


def _point(nature: Nature, own: float, v1: float, y1: complex, y2: complex) -> _Point:
    def loading(y: complex) -> float:
        same, other = _parts(nature, y)
        return 1 - own * (own + same) / ((own + same) ** 2 + other**2)

    same, other = _parts(nature, y1)
    amps = v1 * math.hypot(own + same, other)
    return _Point(amps / own, own, amps, (loading(y1), loading(y2)))


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
    anything mixed between; None where no source explains the readings.
    """

    verdict: Verdict
    text: str
    capacitive: tuple[SourceRange, ...] = ()
    resistive: tuple[SourceRange, ...] = ()
    open_circuit_v: Span | None = None
    admittance_s: Span | None = None
    short_circuit_a: Span | None = None
    warnings: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ASSUMPTIONS

    @property
    def sources(self) -> tuple[Source, ...]:
        """Every source the readings allow, the likeliest first, for calculating a remedy on.

        Raises InputError unless the readings say that the voltage is a coupled one.
        """
        if self.verdict is not Verdict.COUPLED:
            raise InputError("remedy", f"none is calculated from these readings. {self.text}")
        return tuple(source for answer in self.capacitive + self.resistive for source in answer.points)


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
        tuple(_ranges(nature, first, second, supply_v, frequency_hz)) for nature in Nature
    )
    every = capacitive + resistive
    if not every:
        return Judgement(Verdict.IMPOSSIBLE, _ADVICE[Verdict.IMPOSSIBLE])
    amps = _hull([answer.short_circuit_a for answer in every])
    volts = _hull([answer.open_circuit_v for answer in every])
    verdict = _verdict(amps, supply_v, frequency_hz)
    return Judgement(
        verdict,
        _ADVICE[verdict],
        capacitive,
        resistive,
        volts,
        _hull([answer.admittance_s for answer in every]),
        amps,
        tuple(_warnings(first, second, every, volts, amps, supply_v, frequency_hz)),
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


def _ranges(
    nature: Nature, first: MeterReading, second: MeterReading, supply_v: float, frequency_hz: float
) -> list[SourceRange]:
    y1, y2 = first.meter.admittance(frequency_hz), second.meter.admittance(frequency_hz)
    nominal = _points(nature, first.volts, y1, second.volts, y2)
    corners = list(itertools.product((first.lowest_v, first.highest_v), (second.lowest_v, second.highest_v)))
    at_corners = [_points(nature, v1, y1, v2, y2) for v1, v2 in corners]
    # Along one branch the ratio of the readings only rises, or only falls, with the source's admittance; two
    # answers to one pair of readings always lie on different branches.
    branches = sorted({point.branch for point in itertools.chain(nominal, *at_corners)})
    found = []
    for branch in branches:
        exact = [point for point in nominal if point.branch is branch]
        points = list(exact)
        for (v1, v2), answers in zip(corners, at_corners, strict=True):
            here = [point for point in answers if point.branch is branch]
            points += here or _open_ends(branch, v1, y1, v2, y2)
        if nominal and not exact:
            continue  # only a corner touches this branch
        found.append(_range(nature, exact, points, first, second, supply_v, frequency_hz))
    return sorted(found, key=lambda answer: answer.admittance_s.typical)


def _open_ends(branch: bool, v1: float, y1: complex, v2: float, y2: complex) -> list[_Point]:
    """The limit a branch runs to at a corner that has no exact source: no admittance, or no limit to it."""
    nothing = _Point(math.inf, 0.0, max(v1 * abs(y1), v2 * abs(y2)))
    everything = _Point(max(v1, v2), math.inf, math.inf)
    if v1 == 0 or v2 == 0:
        return [nothing]
    rising = 1 if branch else -1
    ratio = math.log(v1 / v2)
    if rising * ratio >= 0 and rising * ratio >= rising * math.log(abs(y2) / abs(y1)):
        return [everything]
    if rising * ratio <= rising * math.log(abs(y2) / abs(y1)):
        return [nothing]
    return [nothing, everything]


def _range(
    nature: Nature,
    exact: list[_Point],
    points: list[_Point],
    first: MeterReading,
    second: MeterReading,
    supply_v: float,
    frequency_hz: float,
) -> SourceRange:
    omega = 2 * math.pi * frequency_hz
    typical = exact[0] if exact else min(points, key=lambda point: point.amps)

    def span(values: list[float], middle: float) -> Span:
        return Span(min(values), middle, max(values))

    volts = span([point.volts for point in points], typical.volts)
    own = span([point.own_s for point in points], typical.own_s)
    amps = span([point.amps for point in points], typical.amps)
    coupling = earth = metres = None
    if nature is Nature.CAPACITIVE:
        coupling = amps.times(1 / (omega * supply_v))
        rest = [(point.own_s - point.amps / supply_v) / omega for point in points if point.own_s < math.inf]
        earth = span([max(value, 0.0) for value in rest], max(rest[0], 0.0)) if rest else None
        low, high = _COUPLING["low_f_per_m"], _COUPLING["high_f_per_m"]
        metres = Span(coupling.low / high, coupling.typical / math.sqrt(low * high), coupling.high / low)
    unit = 1j if nature is Nature.CAPACITIVE else 1
    return SourceRange(
        nature,
        volts,
        own,
        amps,
        tuple(
            Source(point.amps, point.own_s * unit, frequency_hz) for point in points if point.own_s < math.inf
        ),
        frequency_hz,
        coupling,
        earth,
        metres,
        tuple(_poorly_known(typical, exact, first, second)),
        tuple(_working(nature, typical, exact, first, second, supply_v, frequency_hz)),
    )


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


def _poorly_known(
    typical: _Point, exact: list[_Point], first: MeterReading, second: MeterReading
) -> list[str]:
    if not exact:
        return ["No source gives exactly these readings; the range holds those within the meters' accuracy."]
    errors = first_order_errors(typical.loading, first.relative_error, second.relative_error)
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
    every: Sequence[SourceRange],
    volts: Span,
    amps: Span,
    supply_v: float,
    frequency_hz: float,
) -> list[str]:
    said = []
    inputs = sorted(abs(reading.meter.admittance(frequency_hz)) for reading in (first, second))
    if inputs[1] < 2 * inputs[0]:
        said.append("The two inputs are nearly alike, so the readings say little: use one of 3 kΩ to 400 kΩ.")
    if sum(answer.nature is Nature.CAPACITIVE for answer in every) > 1:
        said.append(
            "Two different coupled sources give these readings; both are listed. A third meter decides."
        )
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
    typical: _Point,
    exact: list[_Point],
    first: MeterReading,
    second: MeterReading,
    supply_v: float,
    frequency_hz: float,
) -> list[str]:
    if not exact:
        return []
    omega = 2 * math.pi * frequency_hz
    name, value = "C", engineering(typical.own_s / omega, "F")
    if nature is Nature.RESISTIVE:
        name, value = "R", ohms(1 / typical.own_s)
    h1, h2 = (significant(h, 2) for h in typical.loading)
    errors = first_order_errors(typical.loading, first.relative_error, second.relative_error)
    return [
        f"{significant(first.volts)} V on {first.meter} and {significant(second.volts)} V on {second.meter} "
        f"both fit {name} = {value}",
        f"Isc = V1·|Y + Ym1| = {engineering(typical.amps, 'A')}",
        f"Voc = Isc / |Y| = {engineering(typical.amps, 'A')} / {engineering(typical.own_s, 'S')} = "
        f"{significant(typical.volts)} V",
        *(
            [
                f"Cc = Isc / (ω·Vs) = {engineering(typical.amps, 'A')} / ({significant(omega, 5)} × "
                f"{significant(supply_v)} V) = {engineering(typical.amps / (omega * supply_v), 'F')}"
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
    unit = 1j if nature is Nature.CAPACITIVE else 1
    fitting = []
    for one, other in itertools.combinations(readings, 2):
        y1, y2 = one.meter.admittance(frequency_hz), other.meter.admittance(frequency_hz)
        ends = ((each.volts, each.lowest_v, each.highest_v) for each in (one, other))
        for v1, v2 in itertools.product(*ends):
            for point in _points(nature, v1, y1, v2, y2):
                found = Source(point.amps, point.own_s * unit, frequency_hz)
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
