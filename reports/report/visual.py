"""The visual inspection: what was looked at, area by area, and with what outcome."""

from dataclasses import dataclass

from inspections.columns import Column, Kind
from reports.pdf.blocks import NOTE
from reports.pdf.canvas import Canvas
from reports.pdf.page import INK, LEADING, Frame, Piece, Placed, Section, space
from reports.pdf.table import table
from reports.pdf.tags import SELF
from reports.pdf.text import printable
from reports.report.blocks import across
from reports.sheets.sheet import NOT_ENTERED, Sheet
from reports.words import Content

_COLUMNS = (
    Column("text", "What was looked for", width_mm=118),
    Column("regulation", "Regulation", width_mm=19),
    Column("outcome", "Outcome", Kind.TICK, width_mm=15),
    Column("remark", "Remark", width_mm=38),
)
_AREA_SIZE = 8.5
_AREA_HEIGHT = 4 + _AREA_SIZE * LEADING + 1
_KEY = (
    "✓ found so. C1, C2, C3, FI: see the observations. N/V not verified. LIM limitation. N/A not applicable. "
    f"{NOT_ENTERED} no outcome entered."
)
_FROM_MEMORY = (
    " The regulation numbers say where to look; not every one was checked against the printed book."
)


@dataclass(frozen=True, slots=True, eq=False)
class _Named:
    """The names of the areas, each over its rows of the one table made of them."""

    areas: object

    def draw(self, canvas: Canvas, left: float, placed: Placed) -> None:
        for top, name in placed:
            with canvas.heading_across(self.areas, len(_COLUMNS)):
                canvas.ink(INK)
                canvas.write(left, top - 4 - _AREA_SIZE, printable(name), _AREA_SIZE, strong=True)


def visual(content: Content, frame: Frame) -> tuple[Section, ...]:
    """The section of visual outcomes; none where nothing was recorded."""
    areas = content["visual"]
    if not areas:
        return ()
    width = frame.width
    named = _Named(areas)
    pieces: list[Piece] = []
    for number, area in enumerate(areas):
        rows = tuple(
            (item["text"], item["regulation"], item["outcome"] or None, item["remark"])
            for item in area["items"]
        )
        head, *body = table(Sheet(area["name"], _COLUMNS, rows), width, of=areas)
        if number == 0:
            pieces.append(head)
        pieces += (Piece(_AREA_HEIGHT, named.draw, area["name"], keep=True, tag=SELF), *body)
    from_memory = any(item["regulation_from_memory"] for area in areas for item in area["items"])
    note = NOTE.pieces(_KEY + (_FROM_MEMORY if from_memory else ""), width)
    return (across("Visual inspection", (*pieces, space(4), *note), frame),)
