"""Whether a source is capacitive or resistive, from three readings with three different meters.

K/Vᵢ² = S + 2G·Gᵢ + 2B·Bᵢ + |Ymᵢ|² with K = Isc² and S = G² + B². It is linear in K, S and G once B is given;
S = G² + B² then gives B.
"""

import cmath
import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from remedies.physics.exact_source import DIRECTION, exact_sources
from remedies.physics.meter_reading import MeterReading
from remedies.physics.quantity import Span
from remedies.physics.source_from_readings import ADVICE, Verdict
from remedies.physics.stray_voltage import Nature, Source, supply_frequency

_ROUNDING = 1e-6  # what solving for a source may be off by, relative
_CAPACITIVE_FROM, _RESISTIVE_UP_TO = 60, 30  # degrees; between them the source is left open
_TEXT = {
    Nature.CAPACITIVE: "Coupled through capacitance: the readings fit nothing else within the accuracy.",
    Nature.RESISTIVE: "Fed through resistance: look for damp insulation, or an indicator lamp.",
    None: "The accuracy of these meters leaves open whether it is capacitance or leakage.",
}


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
    """Whether a source is capacitive or resistive. frequency_hz: of the supply [Hz]."""
    supply_frequency(frequency_hz)
    meters = [reading.meter.admittance(frequency_hz) for reading in readings]
    as_written = [reading.volts for reading in readings]
    corners = itertools.product(*((reading.lowest_v, reading.highest_v) for reading in readings))
    mixed = [_of_three(volts, meters, frequency_hz) for volts in (as_written, *corners)]
    pure = itertools.chain(*(_pure(nature, readings, frequency_hz) for nature in Nature))
    every = [found for found in (*mixed, *pure) if found]
    if not every:
        return ThreeReadings(None, ADVICE[Verdict.IMPOSSIBLE], None, None, None, None)
    degrees = _span(math.degrees(cmath.phase(source.admittance_s)) for source in every)
    nature = _nature(degrees)
    return ThreeReadings(
        nature,
        _TEXT[nature],
        every[0],
        degrees,
        _span(source.open_circuit_v for source in every),
        _span(source.short_circuit_a for source in every),
    )


def _span(values: Iterable[float]) -> Span:
    """The range that holds all of these, of which the first is the typical one."""
    every = list(values)
    return Span(min(every), every[0], max(every))


def _nature(degrees: Span) -> Nature | None:
    if degrees.low >= _CAPACITIVE_FROM:
        return Nature.CAPACITIVE
    return Nature.RESISTIVE if degrees.high <= _RESISTIVE_UP_TO else None


def _pure(nature: Nature, readings: Sequence[MeterReading], frequency_hz: float) -> list[Source]:
    """Sources of one nature alone that give all the readings within the meters' accuracy."""
    direction = DIRECTION[nature]
    fitting = []
    for one, other in itertools.combinations(readings, 2):
        y1, y2 = (each.meter.admittance(frequency_hz) / direction for each in (one, other))
        ends = ((each.volts, each.lowest_v, each.highest_v) for each in (one, other))
        for v1, v2 in itertools.product(*ends):
            for point in exact_sources(v1, y1, v2, y2):
                found = Source(point.amps, point.own_s * direction, frequency_hz)
                if all(_within(reading, found.reading(reading.meter)) for reading in readings):
                    fitting.append(found)
    return fitting


def _within(reading: MeterReading, volts: float) -> bool:
    return reading.lowest_v * (1 - _ROUNDING) <= volts <= reading.highest_v * (1 + _ROUNDING)


def _of_three(volts: Sequence[float], meters: list[complex], frequency_hz: float) -> Source | None:
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
