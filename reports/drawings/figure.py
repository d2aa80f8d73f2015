"""The drawing of a figure, whatever its kind."""

from reportlab.graphics.shapes import Drawing

from reports.drawings.bars import bars
from reports.sheets.figure import Bars, Figure

_DRAWN_BY = {Bars: bars}


def draw(figure: Figure) -> Drawing:
    """The same for a page and for the print."""
    return _DRAWN_BY[type(figure)](figure)
