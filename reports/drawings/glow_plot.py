"""Lamp voltage when off against the value of the remedy, with the glow threshold and the chosen part."""

import math
from collections.abc import Iterable, Iterator

from reportlab.graphics.shapes import Drawing, Polygon

from remedies.glow.drawn import Plot
from remedies.physics.quantity import engineering, significant
from reports.drawings import marks
from reports.drawings.marks import BAND
from reports.pdf.page import ACCENT, FAINT, HAIR, INK, RULE
from reports.pdf.text import printable, text_width

WIDTH, HEIGHT = 300.0, 200.0
_LEFT, _RIGHT, _BOTTOM, _TOP = 34.0, 284.0, 32.0, 182.0
_LEAST_V = 0.1  # the axis of volts goes no lower: nothing is read off below


def glow_plot(plot: Plot) -> Drawing:
    """The curve over three decades, both axes logarithmic."""
    drawing = marks.blank(WIDTH, HEIGHT)
    scale = _Scale(plot)
    _band(drawing, plot, scale)
    _axes(drawing, plot, scale)
    typical = ((value, volts) for value, _, volts, _ in plot.points)
    marks.line(drawing, *scale.path(typical), width=1.4)
    _threshold(drawing, scale, plot.glow_low_v, "surely dark up to")
    _threshold(drawing, scale, plot.glow_high_v, "surely glows from")
    if plot.chosen:
        _mark(drawing, plot, scale)
    return drawing


class _Scale:
    """From values to points of the drawing."""

    def __init__(self, plot: Plot):
        values = [value for value, *_ in plot.points]
        if plot.chosen:
            values.append(plot.chosen[0])
        volts = [volts for _, _, _, volts in plot.points] + [plot.glow_high_v]
        self.values = math.log10(min(values)), math.log10(max(values))
        self.volts = math.log10(_LEAST_V), math.ceil(math.log10(max(volts)) * 2) / 2

    def x(self, value: float) -> float:
        first, last = self.values
        return _LEFT + (math.log10(value) - first) / (last - first) * (_RIGHT - _LEFT)

    def y(self, volts: float) -> float:
        first, last = self.volts
        share = (math.log10(max(volts, _LEAST_V)) - first) / (last - first)
        return _BOTTOM + min(share, 1.0) * (_TOP - _BOTTOM)

    def path(self, points: Iterable[tuple[float, float]]) -> Iterator[float]:
        for value, volts in points:
            yield from (self.x(value), self.y(volts))


def _axes(drawing: Drawing, plot: Plot, scale: _Scale) -> None:
    for exponent in range(math.ceil(scale.values[0] - 1e-9), math.floor(scale.values[1] + 1e-9) + 1):
        x = scale.x(10.0**exponent)
        marks.line(drawing, x, _BOTTOM, x, _TOP, colour=RULE, width=HAIR)
        marks.text(drawing, x, _BOTTOM - 10, engineering(10.0**exponent, plot.unit), anchor="middle")
    for exponent in range(math.ceil(scale.volts[0]), math.floor(scale.volts[1]) + 1):
        y = scale.y(10.0**exponent)
        marks.line(drawing, _LEFT, y, _RIGHT, y, colour=RULE, width=HAIR)
        marks.text(drawing, _LEFT - 4, y - 2.5, f"{significant(10.0**exponent)} V", anchor="end")
    marks.line(drawing, _LEFT, _TOP, _LEFT, _BOTTOM, _RIGHT, _BOTTOM)
    what = "capacitance across the lamp" if plot.unit == "F" else "resistance across the lamp"
    marks.text(drawing, _RIGHT, _BOTTOM - 24, what, anchor="end", colour=FAINT)
    marks.text(drawing, _LEFT, _TOP + 8, "lamp voltage when off, with all that is not known", colour=FAINT)


def _band(drawing: Drawing, plot: Plot, scale: _Scale) -> None:
    """From the lowest to the highest lamp voltage."""
    upper = list(scale.path((value, high) for value, _, _, high in plot.points))
    lower = list(scale.path((value, low) for value, low, _, _ in reversed(plot.points)))
    drawing.add(Polygon(upper + lower, fillColor=BAND, strokeColor=None, strokeWidth=0))


def _threshold(drawing: Drawing, scale: _Scale, volts: float, words: str) -> None:
    y = scale.y(volts)
    marks.line(drawing, _LEFT, y, _RIGHT, y, colour=ACCENT, width=1.0, dash=[4, 2.5])
    marks.text(drawing, _RIGHT - 2, y + 3, f"{words} {significant(volts)} V", anchor="end", colour=ACCENT)


def _mark(drawing: Drawing, plot: Plot, scale: _Scale) -> None:
    value, volts = plot.chosen
    x, y = scale.x(value), scale.y(volts)
    marks.line(drawing, x, _BOTTOM, x, y, width=0.8, dash=[1.5, 1.5])
    marks.dot(drawing, x, y, 3.4, INK)
    said = f"{plot.chosen_name}: {significant(volts)} V"
    # At the foot of the plot the curve leaves room on one side: on the left of a falling one.
    width = text_width(printable(said), marks.SIZE) + 5
    to_the_left = x - width >= _LEFT if plot.unit == "F" else x + width > _RIGHT
    marks.text(
        drawing,
        x - 5 if to_the_left else x + 5,
        _BOTTOM + 5,
        said,
        anchor="end" if to_the_left else "start",
    )
