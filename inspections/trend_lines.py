"""How four readings of a circuit went from visit to visit, as small lines to draw and as words to read."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from math import log10

from inspections.columns import BY_NAME
from inspections.models import CircuitResult
from inspections.rules.facts import Case, CircuitReadings
from inspections.rules.readings import Reading, Relation

DRAWN = ("ir_live_live", "ir_live_earth", "r1_r2", "zs")
INSULATION = ("ir_live_live", "ir_live_earth")  # these span decades, so their scale is logarithmic
WIDTH, HEIGHT, EDGE = 240, 84, 10  # the drawing, in its own units
TO_BE_SEEN = 6  # how far a small line must go up or down to be worth its ink
HEADROOM = 1.5  # how far a logarithmic scale goes on beyond its values; a linear one goes to a tenth more


@dataclass(frozen=True)
class Mark:
    """One reading in the drawing. is_open: the instrument ran out of range, so the value lies beyond."""

    x: str
    y: str
    is_open: bool


@dataclass(frozen=True)
class TrendLine:
    """One drawing. strokes: the points of each unbroken line. limit_y: where the limit lies, if known.
    words: the same for whoever does not see it."""

    heading: str
    unit: str
    marks: tuple[Mark, ...]
    strokes: tuple[str, ...]
    limit_y: str
    limit: str
    first: str
    last: str
    words: str


@dataclass(frozen=True)
class _Point:
    on: date
    reading: Reading
    voltage: int | Decimal | None  # of an insulation test: readings at two voltages are not joined


def trend_lines(results: Sequence[CircuitResult], limits: Mapping[str, Decimal]) -> list[TrendLine]:
    """A line for each of the readings that was measured at two visits or more.

    results: of one circuit, with their inspections. limits: by column, in its unit, where there is one.
    """
    dated = sorted(((result.inspection.started_on, result) for result in results), key=lambda one: one[0])
    return [
        _line(name, points, limits.get(name)) for name in DRAWN if len(points := _points(name, dated)) > 1
    ]


def small_lines(case: Case) -> dict[str, tuple[str, ...]]:
    """The strokes alone, by column, of each reading that has gone up or down from visit to visit; the last
    point is of this visit once its reading is there. A level line is left out: it would tell nothing."""
    if not case.past:
        return {}
    dated = [*((past.on, past.readings) for past in case.past), (case.on, case.readings)]
    lines = {}
    for name in DRAWN:
        points = _points(name, dated)
        if len({point.reading for point in points}) < 2:
            continue
        marks = _marks(points, _heights(name, points, None))
        heights = [float(mark.y) for mark in marks]
        if max(heights) - min(heights) >= TO_BE_SEEN:
            lines[name] = tuple(_strokes(points, marks))
    return lines


def _points(name: str, dated: Iterable[tuple[date, CircuitResult | CircuitReadings]]) -> list[_Point]:
    return [
        _Point(on, reading, readings.ir_voltage_v if name in INSULATION else None)
        for on, readings in dated
        if (reading := getattr(readings, name)).is_measured
    ]


def _line(name: str, points: Sequence[_Point], limit: Decimal | None) -> TrendLine:
    column, height = BY_NAME[name], _heights(name, points, limit)
    marks = _marks(points, height)
    return TrendLine(
        heading=column.heading,
        unit=column.unit,
        marks=marks,
        strokes=tuple(_strokes(points, marks)),
        limit_y="" if limit is None else f"{height(limit):.1f}",
        limit="" if limit is None else f"{limit:.2f}".removesuffix(".00"),
        first=str(points[0].reading),
        last=str(points[-1].reading),
        words=f"{column.heading}: " + ", ".join(_said(point, column.unit) for point in points) + ".",
    )


def _marks(points: Sequence[_Point], height) -> tuple[Mark, ...]:
    first, last = points[0].on.toordinal(), points[-1].on.toordinal()
    span = max(last - first, 1)
    return tuple(
        Mark(
            f"{EDGE + (WIDTH - 2 * EDGE) * (point.on.toordinal() - first) / span:.1f}",
            _open_y(point.reading) or f"{height(point.reading.value):.1f}",
            is_open=point.reading.relation is not Relation.EQUAL,
        )
        for point in points
    )


def _heights(name: str, points: Sequence[_Point], limit: Decimal | None):
    """Where a value lies in the drawing, from the top. A reading of nothing lies at the bottom."""
    values = [float(point.reading.value) for point in points if point.reading.value]
    values += [] if limit is None else [float(limit)]
    room = HEIGHT - 2 * EDGE
    if name not in INSULATION:
        top = max(values, default=1.0) * 1.1
        return lambda value: HEIGHT - EDGE - room * float(value) / top
    low, high = min(values, default=1.0) / HEADROOM, max(values, default=1.0) * HEADROOM

    def logarithmic(value):
        share = log10(max(float(value), low) / low) / log10(high / low)
        return HEIGHT - EDGE - room * share

    return logarithmic


def _open_y(reading: Reading) -> str:
    if reading.relation is Relation.EQUAL:
        return ""
    return f"{EDGE if reading.relation is Relation.ABOVE else HEIGHT - EDGE:.1f}"


def _strokes(points, marks):
    """Runs of readings that may be compared, each as the points of a line."""
    run: list[str] = []
    for place, (point, mark) in enumerate(zip(points, marks, strict=True)):
        if place and point.voltage != points[place - 1].voltage:
            yield " ".join(run)
            run = []
        run.append(f"{mark.x},{mark.y}")
    yield " ".join(run)


def _said(point: _Point, unit: str) -> str:
    at = f" at {point.voltage} V" if point.voltage else ""
    return f"{point.on:%-d %b %Y} {point.reading} {unit}{at}"
