"""What the pages of a report are made of, beside what every printed document has: parts whose heading stands
in a column of its own to the left of their text, lists, and photographs.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from io import BytesIO

from reportlab.lib.utils import ImageReader

from reports.pdf.blocks import HEADING, Lines
from reports.pdf.canvas import Canvas
from reports.pdf.page import (
    ACCENT,
    FAINT,
    LEADING,
    RULE,
    THIN,
    Frame,
    Piece,
    Placed,
    Section,
    height_of,
    space,
)
from reports.pdf.tags import ARTIFACT
from reports.pdf.text import printable, text_width, wrap

SIDE = 104.0  # width of the column of headings, points
_GAP = 11.0  # above the rule that parts two parts
_BELOW_RULE = 5.0
_SHORT = 210.0  # a part no taller is kept on one page

BODY = Lines(8.5)
QUIET = Lines(7.5, FAINT)
STRONG = Lines(8.5, strong=True)
LEAD = Lines(10)


def text_width_beside(frame: Frame) -> float:
    """Width of the text of a part, points."""
    return frame.width - SIDE


def part(title: str, pieces: Iterable[Piece], frame: Frame, *, new_page: bool = False) -> Section:
    """A part of the report: its heading to the left, its pieces to the right of it. The pieces were made
    ``text_width_beside(frame)`` wide."""
    lines = wrap(printable(title), HEADING.size, SIDE - 12)
    heading = Piece(0, _draw_side_heading, lines, keep=True, tag="H2")
    beside = list(shifted(pieces, SIDE))
    height = height_of(beside)
    least = HEADING.size * LEADING * len(lines)
    kept = together(beside, height if height <= _SHORT else least)
    return Section(title, (parting(frame), heading, *kept, *filling(least - height)), new_page, frame)


def across(title: str, pieces: Iterable[Piece], frame: Frame, *, new_page: bool = False) -> Section:
    """A part over the whole width of the page, its heading above it."""
    heading = HEADING.pieces(title, frame.width, keep=True)
    below = tuple(pieces)
    kept = together(below, height_of(below)) if height_of(below) <= _SHORT else below
    return Section(title, (parting(frame), *heading, space(3, keep=True), *kept), new_page, frame)


def together(pieces: Iterable[Piece], height: float) -> Iterator[Piece]:
    """The pieces, those within the first ``height`` points kept on one page."""
    for piece in pieces:
        height -= piece.height
        yield replace(piece, keep=piece.keep or height > 0)


def filling(height: float) -> Iterator[Piece]:
    """An empty strip, where there is something to fill."""
    if height > 0:
        yield space(height)


def parting(frame: Frame) -> Piece:
    """The rule that parts a part from the one above it."""
    return Piece(_GAP + _BELOW_RULE, _draw_parting, frame.width, keep=True, gap=True, tag=ARTIFACT)


def between(height: float) -> Piece:
    """An empty strip that falls away at the end of a page."""
    return replace(space(height), gap=True)


def shifted(pieces: Iterable[Piece], by: float) -> Iterator[Piece]:
    """The pieces ``by`` points further to the right, and with them the heads that are repeated."""
    for piece in pieces:
        yield replace(piece, draw=_shifted(piece.draw, by), head=tuple(shifted(piece.head, by)))


@lru_cache(maxsize=256)
def _shifted(draw, by: float):
    # One function for each it stands for, so that neighbouring pieces are still drawn in one run.
    def draw_shifted(canvas: Canvas, left: float, placed: Placed) -> None:
        draw(canvas, left + by, placed)

    return draw_shifted


def _draw_side_heading(canvas: Canvas, left: float, placed: Placed) -> None:
    canvas.ink(ACCENT)
    for top, lines in placed:
        y = top - HEADING.size
        for line in lines:
            canvas.write(left, y, line, HEADING.size, strong=True)
            y -= HEADING.size * LEADING


def _draw_parting(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, width in placed:
        canvas.rule(left, left + width, top - _GAP, THIN, RULE)


def paragraphs(text: str, style: Lines, width: float, gap: float = 4) -> tuple[Piece, ...]:
    """A text with a gap between its paragraphs, its first two lines kept together."""
    pieces: list[Piece] = []
    for paragraph in text.split("\n"):
        if paragraph.strip():
            lines = style.pieces(paragraph.strip(), width)
            pieces += [replace(lines[0], keep=len(lines) > 1), *lines[1:], between(gap)]
    return tuple(pieces)


@dataclass(frozen=True, slots=True, eq=False)
class _Marked:
    """Lines of an entry of a list; the first has its mark hanging to the left."""

    style: Lines
    indent: float
    strong_mark: bool

    def draw(self, canvas: Canvas, left: float, placed: Placed) -> None:
        canvas.ink(self.style.colour)
        size = self.style.size
        for top, (mark, line) in placed:
            if mark:
                canvas.write(left, top - size, mark, size, strong=self.strong_mark)
            canvas.write(left + self.indent, top - size, line, size)


@lru_cache(maxsize=64)
def _marked(style: Lines, indent: float, strong_mark: bool) -> _Marked:
    return _Marked(style, indent, strong_mark)


def entries(
    marked: Sequence[tuple[str, str]],
    width: float,
    *,
    style: Lines = BODY,
    indent: float = 14,
    gap: float = 3,
    strong_mark: bool = False,
) -> tuple[Piece, ...]:
    """A list of (mark, text), the marks hanging to the left of their texts. No entry loses its first line."""
    drawn = _marked(style, indent, strong_mark)
    pieces: list[Piece] = []
    for mark, text in marked:
        lines = wrap(printable(text), style.size, width - indent)
        for number, line in enumerate(lines):
            keep = number == 0 and len(lines) > 1
            pieces.append(
                Piece(style.size * LEADING, drawn.draw, (printable(mark) if number == 0 else "", line), keep)
            )
        pieces.append(between(gap))
    return tuple(pieces)


def definitions(rows: Sequence[tuple[str, str]], width: float) -> tuple[Piece, ...]:
    """Words in strong type with what they mean beside them."""
    widest = max((text_width(printable(word), BODY.size) for word, _ in rows), default=0)
    return entries(rows, width, indent=widest + 14, strong_mark=True)


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture as it stands on paper: its bytes, its width and height, points, and what it shows."""

    content: bytes
    width: float
    height: float
    says: str


def photo(content: bytes, width: float, height: float, says: str) -> Photo | None:
    """The picture as large as fits; None where the bytes are no picture."""
    try:
        across_px, down_px = ImageReader(BytesIO(content)).getSize()
    except (OSError, ValueError):
        return None
    scale = min(width / across_px, height / down_px)
    return Photo(content, across_px * scale, down_px * scale, says)


class _Picture(ImageReader):
    """A picture that is told from others by its bytes; a photograph would be unpacked for it otherwise."""

    def __init__(self, content: bytes) -> None:
        super().__init__(BytesIO(content))
        if self.jpeg_fh():
            self._data, self._dataA = content, None


def draw_photos(canvas: Canvas, left: float, placed: Placed) -> None:
    """Each picture with its right upper corner at (left + x, top)."""
    for top, (picture, x) in placed:
        with canvas.tagged("Figure", picture.says):
            canvas.drawImage(
                _Picture(picture.content),
                left + x - picture.width,
                top - picture.height,
                picture.width,
                picture.height,
            )
