"""The drawing of a figure, whatever its kind."""

from reportlab.graphics.shapes import Drawing

from reports.drawings.bars import bars
from reports.drawings.years import years
from reports.sheets.figure import Bars, Figure, Years

_DRAWN_BY = {Bars: bars, Years: years}


def draw(figure: Figure) -> Drawing:
    """The same for a page and for the print."""
    return _DRAWN_BY[type(figure)](figure)
