"""Counts over time as upright bars, each with its number above it."""

from reportlab.graphics.shapes import Drawing, Rect

from reports.audit.bars import Bars
from reports.drawings import marks
from reports.pdf.page import ACCENT, FAINT

WIDTH, HEIGHT = 520.0, 110.0
_LEFT, _RIGHT, _BOTTOM, _TOP = 4.0, 516.0, 24.0, 92.0
_WIDEST = 40.0  # few bars stand on the left and do not fill the width
_LABEL = 26.0  # room that a label needs; where bars are closer, every second or third is labelled


def bars(counted: Bars) -> Drawing:
    """The bars to a common scale from nought."""
    drawing = marks.blank(WIDTH, HEIGHT)
    most = max((count for _, count in counted.bars), default=0) or 1
    step = min((_RIGHT - _LEFT) / len(counted.bars), _WIDEST)
    every = -(-_LABEL // step)
    for number, (label, count) in enumerate(counted.bars):
        left, middle = _LEFT + number * step, _LEFT + (number + 0.5) * step
        tall = (_TOP - _BOTTOM) * count / most
        if count:
            drawing.add(
                Rect(left + step * 0.15, _BOTTOM, step * 0.7, tall, fillColor=ACCENT, strokeColor=None)
            )
            marks.text(drawing, middle, _BOTTOM + tall + 3, _short(count), size=6.5, anchor="middle")
        if number % every == 0:
            marks.text(drawing, middle, _BOTTOM - 9, label, size=6.5, anchor="middle", colour=FAINT)
    marks.line(drawing, _LEFT, _BOTTOM, _RIGHT, _BOTTOM)
    return drawing


def _short(count: int) -> str:
    """A count in the room above a bar: 950, 1.2k, 12k."""
    if count < 1000:
        return f"{count}"
    return f"{count / 1000:.1f}k" if count < 10_000 else f"{count / 1000:.0f}k"
