"""Drawings as pieces of a page's body."""

from collections.abc import Sequence

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import STATE_DEFAULTS, Drawing

from reports.pdf.canvas import Canvas
from reports.pdf.fonts import FONT
from reports.pdf.page import Piece, Placed
from reports.pdf.tags import SELF

STATE_DEFAULTS["fontName"] = FONT  # each drawing would name another first, which is not embedded

_GAP = 8.0  # between two drawings beside each other
_BELOW = 2.0


def drawings_piece(
    drawings: Sequence[Drawing], scale: float = 1.0, *, says: str = "", keep: bool = False
) -> Piece:
    """Drawings of one height beside each other, and what they show in words."""
    height = drawings[0].height * scale + _BELOW
    return Piece(height, _draw, (tuple(drawings), scale, says), keep=keep, tag=SELF)


def scale_for_two(drawing: Drawing, width: float) -> float:
    """The scale at which two such drawings fill the width."""
    return (width - _GAP) / 2 / drawing.width


def _draw(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, (drawings, scale, says) in placed:
        with canvas.tagged("Figure", says):
            for number, drawing in enumerate(drawings):
                _draw_scaled(canvas, drawing, left + number * (drawing.width * scale + _GAP), top, scale)


def _draw_scaled(canvas: Canvas, drawing: Drawing, x: float, top: float, scale: float) -> None:
    canvas.saveState()
    canvas.translate(x, top - drawing.height * scale)
    canvas.scale(scale, scale)
    renderPDF.draw(drawing, canvas, 0, 0)
    canvas.restoreState()
