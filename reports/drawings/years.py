"""Values year by year, to a logarithmic scale: the first series firm, the others dashed."""

import math
from collections.abc import Iterator

from reportlab.graphics.shapes import Circle, Drawing

from reports.drawings import marks
from reports.pdf.page import FAINT, HAIR, INK, RULE
from reports.pdf.text import printable, text_width
from reports.sheets.figure import Point, Series, Years

WIDTH, HEIGHT = 520.0, 158.0
_LEFT, _RIGHT, _BOTTOM, _TOP = 42.0, 500.0, 20.0, 122.0
_LEGEND = 148.0
_SIZE = 8.0
_LABEL = 30.0  # room that the label of a point or a year needs
_LEAST = 0.01  # the axis goes no lower: an insulation tester shows no less
_RADIUS = 2.2
_ARROW = 3.0  # how far the label of a value beyond the range makes way for its arrow


def years(shown: Years) -> Drawing:
    """Each series as points joined by a line. An arrow goes up from a value beyond the range."""
    drawing = marks.blank(WIDTH, HEIGHT)
    scale = _Scale([point for one in shown.series for point in one.points])
    _axes(drawing, scale, shown.unit)
    x = _LEFT
    for number, one in enumerate(shown.series):
        _line(drawing, one, scale, is_firm=number == 0)
        x = _legend(drawing, x, one.name, is_firm=number == 0)
    if any(not point.is_exact for one in shown.series for point in one.points):
        _arrow(drawing, x + 4, _LEGEND - 4)
        marks.text(drawing, x + 10, _LEGEND - 2.5, "beyond the range of the instrument", size=_SIZE)
    return drawing


class _Scale:
    """From years and values to points of the drawing."""

    def __init__(self, points: list[Point]):
        values = [max(point.value, _LEAST) for point in points] or [1.0]
        self.first = min((point.year for point in points), default=0)
        self.last = max((point.year for point in points), default=0)
        self.low = math.floor(math.log10(min(values)))
        self.high = max(math.ceil(math.log10(max(values))), self.low + 1)

    @property
    def step(self) -> float:
        return (_RIGHT - _LEFT - 2 * _LABEL) / max(self.last - self.first, 1)

    def x(self, year: int) -> float:
        return _LEFT + _LABEL + (year - self.first) * self.step

    def y(self, value: float) -> float:
        share = (math.log10(max(value, _LEAST)) - self.low) / (self.high - self.low)
        return _BOTTOM + share * (_TOP - _BOTTOM)


def _axes(drawing: Drawing, scale: _Scale, unit: str) -> None:
    for exponent in range(scale.low, scale.high + 1):
        y = scale.y(10.0**exponent)
        marks.line(drawing, _LEFT, y, _RIGHT, y, colour=RULE, width=HAIR)
        label = f"{10.0**exponent:g}" + (f" {unit}" if exponent == scale.high else "")
        marks.text(drawing, _LEFT - 3, y - 2.5, label, size=_SIZE, anchor="end")
    every = math.ceil(_LABEL / scale.step)
    for year in range(scale.first, scale.last + 1, every):
        marks.text(drawing, scale.x(year), _BOTTOM - 10, f"{year}", size=_SIZE, anchor="middle", colour=FAINT)
    marks.line(drawing, _LEFT, _BOTTOM, _RIGHT, _BOTTOM)


def _line(drawing: Drawing, one: Series, scale: _Scale, *, is_firm: bool) -> None:
    path = list(_path(one, scale))
    if len(one.points) > 1:
        marks.line(drawing, *path, width=1.0, dash=None if is_firm else [3, 2])
    every = math.ceil(_LABEL / scale.step)
    for number, (point, x, y) in enumerate(zip(one.points, path[::2], path[1::2], strict=True)):
        _mark(drawing, x, y, is_firm=is_firm)
        if not point.is_exact:
            _arrow(drawing, x, y + _RADIUS)
        if number % every == 0:
            above = _label_above(y, is_firm=is_firm) + (0 if point.is_exact else _ARROW)
            marks.text(drawing, x, y + above, point.text, size=_SIZE, anchor="middle")


def _label_above(y: float, *, is_firm: bool) -> float:
    """How far above its point a label stands: the dashed ones below, where the axis leaves room."""
    if is_firm:
        return 7.0
    return -12.0 if y - 14.0 > _BOTTOM else 6.0


def _path(one: Series, scale: _Scale) -> Iterator[float]:
    for point in one.points:
        yield from (scale.x(point.year), scale.y(point.value))


def _mark(drawing: Drawing, x: float, y: float, *, is_firm: bool) -> None:
    if is_firm:
        marks.dot(drawing, x, y, _RADIUS)
    else:
        drawing.add(Circle(x, y, _RADIUS, fillColor=None, strokeColor=INK, strokeWidth=1.0))


def _arrow(drawing: Drawing, x: float, y: float) -> None:
    marks.line(drawing, x, y, x, y + 5, width=0.8)
    marks.line(drawing, x - 1.8, y + 3, x, y + 5.5, x + 1.8, y + 3, width=0.8)


def _legend(drawing: Drawing, x: float, name: str, *, is_firm: bool) -> float:
    """What a series is; returns where the next may begin."""
    marks.line(drawing, x, _LEGEND, x + 16, _LEGEND, width=1.0, dash=None if is_firm else [3, 2])
    _mark(drawing, x + 8, _LEGEND, is_firm=is_firm)
    marks.text(drawing, x + 20, _LEGEND - 2.5, name, size=_SIZE)
    return x + 34 + text_width(printable(name), _SIZE)
