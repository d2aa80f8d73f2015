"""The visual inspection: what was looked at, area by area, and with what outcome."""

from inspections.columns import Column, Kind
from reports.pdf.blocks import NOTE
from reports.pdf.page import Frame, Piece, Section, space
from reports.pdf.table import table
from reports.report.blocks import STRONG, across
from reports.sheets.sheet import NOT_ENTERED, Sheet
from reports.words import Content

_COLUMNS = (
    Column("text", "What was looked for", Kind.TEXT, "", "", width_mm=118),
    Column("regulation", "Regulation", Kind.TEXT, "", "", width_mm=19),
    Column("outcome", "Outcome", Kind.TICK, "", "", width_mm=15),
    Column("remark", "Remark", Kind.TEXT, "", "", width_mm=38),
)
_KEY = (
    "✓ found so. C1, C2, C3, FI: see the observations. N/V not verified. LIM limitation. N/A not applicable. "
    f"{NOT_ENTERED} no outcome entered."
)
_FROM_MEMORY = (
    " The regulation numbers say where to look; not every one was checked against the printed book."
)


def visual(content: Content, frame: Frame) -> tuple[Section, ...]:
    """The section of visual outcomes; none where nothing was recorded."""
    areas = content["visual"]
    if not areas:
        return ()
    width = frame.width
    pieces: list[Piece] = []
    for number, area in enumerate(areas):
        rows = tuple(
            (item["text"], item["regulation"], item["outcome"] or None, item["remark"])
            for item in area["items"]
        )
        head, *body = table(Sheet(area["name"], _COLUMNS, rows), width)
        if number == 0:
            pieces.append(head)
        pieces += (
            space(4, keep=True),
            *STRONG.pieces(area["name"], width, keep=True),
            space(1, keep=True),
            *body,
        )
    from_memory = any(item["regulation_from_memory"] for area in areas for item in area["items"])
    note = NOTE.pieces(_KEY + (_FROM_MEMORY if from_memory else ""), width)
    return (across("Visual inspection", (*pieces, space(4), *note), frame),)
