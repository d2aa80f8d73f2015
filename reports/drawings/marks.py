"""The strokes that drawings are made of: lines, texts and the symbols of a circuit.

Points and colours are those of the printed page; the same drawing goes into the PDF and, as SVG, on a page.
"""

from reportlab.graphics.shapes import Circle, Drawing, Line, PolyLine, Rect, String
from reportlab.lib.colors import Color

from reports.pdf.fonts import FONT, register
from reports.pdf.page import INK, LEADING
from reports.pdf.text import printable, wrap

BAND = Color(0.85, 0.85, 0.87)  # an area that lines and texts stand on
STROKE = 0.9
SIZE = 7.5


def blank(width: float, height: float) -> Drawing:
    """An empty drawing, with the typeface made known."""
    register()
    return Drawing(width, height)


def line(drawing: Drawing, *points: float, colour: Color = INK, width: float = STROKE, dash=None) -> None:
    """A line through points x1, y1, x2, y2 and so on."""
    shape = Line(*points) if len(points) == 4 else PolyLine(list(points))
    shape.strokeColor, shape.strokeWidth, shape.strokeDashArray = colour, width, dash
    drawing.add(shape)


def text(
    drawing: Drawing,
    x: float,
    y: float,
    said: str,
    *,
    size: float = SIZE,
    colour: Color = INK,
    anchor: str = "start",
) -> None:
    """One line of text with its baseline at y."""
    shape = String(x, y, printable(said), fontName=FONT, fontSize=size, fillColor=colour)
    shape.textAnchor = anchor
    drawing.add(shape)


def lines(
    drawing: Drawing,
    x: float,
    top: float,
    width: float,
    said: str,
    *,
    colour: Color = INK,
    size: float = SIZE,
) -> None:
    """A text wrapped to a width, from its top downwards."""
    for number, one in enumerate(wrap(printable(said), size, width)):
        text(drawing, x, top - size - number * size * LEADING, one, size=size, colour=colour)


def dot(drawing: Drawing, x: float, y: float, radius: float = 1.8, colour: Color = INK) -> None:
    """A joint of conductors, or a marked point."""
    drawing.add(Circle(x, y, radius, fillColor=colour, strokeColor=colour, strokeWidth=0.5))


def _ring(drawing: Drawing, x: float, y: float, radius: float) -> None:
    drawing.add(Circle(x, y, radius, fillColor=None, strokeColor=INK, strokeWidth=STROKE))


def _box(drawing: Drawing, x: float, y: float, width: float, height: float) -> None:
    drawing.add(
        Rect(
            x - width / 2, y - height / 2, width, height, fillColor=None, strokeColor=INK, strokeWidth=STROKE
        )
    )


def source(drawing: Drawing, x: float, top: float, bottom: float) -> None:
    """The supply: a circle with a wave in it."""
    middle = (top + bottom) / 2
    line(drawing, x, top, x, middle + 13)
    line(drawing, x, middle - 13, x, bottom)
    _ring(drawing, x, middle, 13)
    wave(drawing, x, middle)


def wave(drawing: Drawing, x: float, y: float, scale: float = 1.0) -> None:
    """One period of an alternating voltage around a point."""
    shape = [(-7, 0), (-5, 3), (-3.5, 4), (-2, 3), (0, 0), (2, -3), (3.5, -4), (5, -3), (7, 0)]
    line(drawing, *(value for dx, dy in shape for value in (x + dx * scale, y + dy * scale)))


def capacitor(drawing: Drawing, x: float, top: float, bottom: float) -> None:
    """Two plates across the conductor."""
    middle = (top + bottom) / 2
    line(drawing, x, top, x, middle + 2.5)
    line(drawing, x, middle - 2.5, x, bottom)
    for plate in (middle + 2.5, middle - 2.5):
        line(drawing, x - 8, plate, x + 8, plate, width=1.4)


def resistor(drawing: Drawing, x: float, top: float, bottom: float) -> None:
    """A long box."""
    middle = (top + bottom) / 2
    line(drawing, x, top, x, middle + 11)
    line(drawing, x, middle - 11, x, bottom)
    _box(drawing, x, middle, 8, 22)


def resistor_and_capacitor(drawing: Drawing, x: float, top: float, bottom: float) -> None:
    """Both in one line."""
    middle = (top + bottom) / 2
    resistor(drawing, x, top, middle)
    capacitor(drawing, x, middle, bottom)


def neon(drawing: Drawing, x: float, top: float, bottom: float) -> None:
    """A gas lamp with the resistor before it."""
    middle = (top + bottom) / 2
    resistor(drawing, x, top, middle)
    centre = (middle + bottom) / 2
    line(drawing, x, middle, x, centre + 3)
    line(drawing, x, centre - 3, x, bottom)
    _ring(drawing, x, centre, 9)
    for plate in (centre + 3, centre - 3):
        line(drawing, x - 4, plate, x + 4, plate, width=1.4)


def lamp(drawing: Drawing, x: float, top: float, bottom: float) -> None:
    """A circle with a cross."""
    middle = (top + bottom) / 2
    line(drawing, x, top, x, middle + 12)
    line(drawing, x, middle - 12, x, bottom)
    _ring(drawing, x, middle, 12)
    for slope in (1, -1):
        line(drawing, x - 8.5, middle - 8.5 * slope, x + 8.5, middle + 8.5 * slope)


def open_switch(drawing: Drawing, x: float, top: float, bottom: float) -> None:
    """A blade off its contact."""
    line(drawing, x, top, x, top - 14)
    line(drawing, x, top - 14, x - 9, bottom + 16)
    line(drawing, x, bottom + 14, x, bottom)
    dot(drawing, x, top - 14, 1.3)
    dot(drawing, x, bottom + 14, 1.3)


def control(drawing: Drawing, x: float, top: float, bottom: float) -> None:
    """A box with a c for control in the place of the switch."""
    middle = (top + bottom) / 2
    line(drawing, x, top, x, middle + 12)
    line(drawing, x, middle - 12, x, bottom)
    _box(drawing, x, middle, 24, 24)
    text(drawing, x, middle - 2.5, "off", anchor="middle")
