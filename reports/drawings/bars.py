"""Counts as bars, each with its number: upright over time, lying where their labels are words. A lying bar
has its number before it, which a narrow page shows whole."""

from reportlab.graphics.shapes import Drawing, Rect

from reports.drawings import marks
from reports.pdf.page import ACCENT, FAINT
from reports.pdf.text import printable, text_width
from reports.sheets.figure import Bars

WIDTH, HEIGHT = 520.0, 110.0
_LEFT, _RIGHT, _BOTTOM, _TOP = 4.0, 516.0, 24.0, 92.0
_WIDEST = 40.0  # few bars stand on the left and do not fill the width
_LABEL = 30.0  # room that a label needs; where bars are closer, every second or third is labelled
_SIZE = 8.0
_TALL = 14.0  # of a lying bar with the space around it


def bars(counted: Bars) -> Drawing:
    """The bars to a common scale from nought."""
    most = max((count for _, count in counted.bars), default=0) or 1
    widest = max((text_width(printable(label), _SIZE) for label, _ in counted.bars), default=0.0)
    return _lying(counted, most, widest) if widest > _WIDEST else _upright(counted, most)


def _upright(counted: Bars, most: int) -> Drawing:
    drawing = marks.blank(WIDTH, HEIGHT)
    step = min((_RIGHT - _LEFT) / max(len(counted.bars), 1), _WIDEST)
    every = -(-_LABEL // step)
    for number, (label, count) in enumerate(counted.bars):
        left, middle = _LEFT + number * step, _LEFT + (number + 0.5) * step
        tall = (_TOP - _BOTTOM) * count / most
        if count:
            _bar(drawing, left + step * 0.15, _BOTTOM, step * 0.7, tall)
            marks.text(drawing, middle, _BOTTOM + tall + 3, _short(count), size=_SIZE, anchor="middle")
        if number % every == 0:
            marks.text(drawing, middle, _BOTTOM - 11, label, size=_SIZE, anchor="middle", colour=FAINT)
    marks.line(drawing, _LEFT, _BOTTOM, _RIGHT, _BOTTOM)
    return drawing


def _lying(counted: Bars, most: int, widest: float) -> Drawing:
    height = len(counted.bars) * _TALL + 4
    drawing = marks.blank(WIDTH, height)
    counts = max(text_width(_short(count), _SIZE) for _, count in counted.bars)
    begin = _LEFT + widest + counts + 14
    room = _RIGHT - begin
    for number, (label, count) in enumerate(counted.bars, start=1):
        foot = height - 2 - number * _TALL
        marks.text(drawing, _LEFT, foot + 4, label, size=_SIZE, colour=FAINT)
        marks.text(drawing, begin - 4, foot + 4, _short(count), size=_SIZE, anchor="end")
        _bar(drawing, begin, foot + 2.5, room * count / most, _TALL - 5)
    marks.line(drawing, begin, 2, begin, height - 2)
    return drawing


def _bar(drawing: Drawing, left: float, foot: float, width: float, height: float) -> None:
    drawing.add(Rect(left, foot, width, height, fillColor=ACCENT, strokeColor=None))


def _short(count: int) -> str:
    """A count in the room beside a bar: 950, 1.2k, 12k."""
    if count < 1000:
        return f"{count}"
    return f"{count / 1000:.1f}k" if count < 10_000 else f"{count / 1000:.0f}k"
