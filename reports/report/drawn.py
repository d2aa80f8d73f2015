"""The installation drawn, with where the registered parts sit."""

from collections.abc import Iterator

from reports.drawings.installation import sheets
from reports.installation_drawn import from_content
from reports.pdf.blocks import NOTE
from reports.pdf.drawing import drawings_piece
from reports.pdf.page import Frame, Piece, Section
from reports.report.blocks import across, between
from reports.words import Content


def drawn(content: Content, frame: Frame) -> Section:
    """The section of the drawing, and what it shows in words."""
    return across("The installation drawn", _pieces(content, frame), frame)


def _pieces(content: Content, frame: Frame) -> Iterator[Piece]:
    shown = from_content(content)
    yield from NOTE.pieces(shown.in_words, frame.width, keep=True)
    for drawing in sheets(shown):
        yield between(8)
        yield drawings_piece([drawing], says=shown.in_words)
