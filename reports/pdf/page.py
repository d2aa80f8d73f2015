"""The page frame of every printed document, landscape, portrait or some of each: a running head, a body, and
a foot with cautions, key, who made it and “page x of y”.

The body is a list of sections, each a list of pieces. A piece is one horizontal strip that cannot be
divided: a table row, a line of a paragraph. Paging them comes first and drawing second, so the number of
pages is known and the same pieces give the same bytes.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from io import BytesIO
from itertools import dropwhile, groupby
from math import atan2, degrees, hypot
from typing import Any

from reportlab.lib.colors import Color
from reportlab.lib.pagesizes import A4, landscape
from reportlab.lib.units import mm

from reports.pdf.canvas import Canvas
from reports.pdf.tags import ARTIFACT, PARA, SELF, Structure
from reports.pdf.text import one_line, printable, text_width, wrap
from reports.sheets.sheet import Fact

INK = Color(0.08, 0.08, 0.10)
FAINT = Color(0.36, 0.36, 0.40)  # labels and units; still dark enough for a poor printer
RULE = Color(0.62, 0.62, 0.66)
ACCENT = Color(0.05, 0.27, 0.40)
HAIR, THIN, FIRM = 0.25, 0.5, 1.1  # widths of rules, points

PORTRAIT, LANDSCAPE = A4, landscape(A4)
MARGIN = 10 * mm
SMALL = 6.5  # the smallest type on any page
LEADING = 1.24  # line height over type size; the typeface has tall ascenders and deep descenders

_HEAD_SIZE, _HEAD_HEIGHT = 7.5, 20.0
_NOTICE_SIZE = 10.0
_BEHIND = Color(0.9, 0.9, 0.91)  # seen across a page, and read through
_FOOT_LABEL_WIDTH = 40.0
_PAGE_NUMBER_WIDTH = 80.0
_FOOT_SHARE = 0.25  # a foot taller than this share of the page is printed once, at the end
_CONTINUED_SIZE, _CONTINUED_HEIGHT = 8.5, 17.0

Placed = Sequence[tuple[float, Any]]
"""The (top, content) of each piece drawn together."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A strip of the body, ``height`` points tall.

    draw: called once for each run of neighbouring pieces that share it, with the canvas, the left edge and
    what was placed. keep: stay on the page of the piece that follows. head: repeated when a page begins
    with this piece. gap: it only parts what is above from what is below, and is left out where it would begin
    or end a page. tag: what such a run is in the structure of a tagged document.
    """

    height: float
    draw: Callable[[Canvas, float, Placed], None]
    content: Any = None
    keep: bool = False
    head: tuple["Piece", ...] = ()
    gap: bool = False
    tag: str = PARA


@dataclass(frozen=True, slots=True)
class Section:
    """Pieces under one bookmark. ``title`` is also named, “continued”, on the pages that follow its first.

    new_page: it begins one. room: where it is given, it begins a new page unless so many points are left on
    the one at hand. frame: that of its pages where it is not the document's; two frames never share a page.
    """

    title: str
    pieces: tuple[Piece, ...]
    new_page: bool = True
    frame: "Frame | None" = None
    room: float = 0


@dataclass(slots=True)
class _Page:
    frame: "Frame"
    placed: list[tuple[float, Piece]] = field(default_factory=list)
    bookmarks: list[tuple[str, float]] = field(default_factory=list)
    is_continued: bool = False  # its last section goes on overleaf


@dataclass(frozen=True)
class Frame:
    """What stands on every page around the body.

    size: page width and height, points. Title and identity must also stand in full in the body
    (``blocks.opening`` prints them): from the second page on they share one running line. notice: what nobody
    may miss, over every page and across it behind what stands there.
    """

    title: str
    identity: str = ""
    cautions: tuple[str, ...] = ()
    key: tuple[Fact, ...] = ()
    made_by: str = ""
    author: str = ""
    notice: str = ""
    language: str = "en-GB"
    size: tuple[float, float] = LANDSCAPE

    @property
    def left(self) -> float:
        return MARGIN

    @property
    def width(self) -> float:
        return self.size[0] - 2 * MARGIN

    @cached_property
    def foot(self) -> tuple[tuple[str, str], ...]:
        """The (label, line) pairs of the foot; the label stands at the first line of its text."""
        lines = tuple(self._labelled_lines())
        if len(lines) * SMALL * LEADING <= self.size[1] * _FOOT_SHARE:
            return lines
        return (("Caution", "The cautions and the key stand in full at the end."),)

    @property
    def foot_at_end(self) -> tuple[tuple[str, str], ...]:
        """The lines of a foot too tall to repeat on every page, else nothing."""
        lines = tuple(self._labelled_lines())
        return () if self.foot == lines else lines

    def _labelled_lines(self) -> Iterator[tuple[str, str]]:
        width = self.width - _FOOT_LABEL_WIDTH - _PAGE_NUMBER_WIDTH
        key = " · ".join(f"{fact.label} {fact.value}" for fact in self.key)
        cautions = (("" if n else "Caution", caution) for n, caution in enumerate(self.cautions))
        for label, text in (*cautions, ("Key", key), ("Made by", self.made_by)):
            for n, line in enumerate(wrap(printable(text), SMALL, width) if text else ()):
                yield ("" if n else label), line

    @property
    def body_top(self) -> float:
        """Top of the body of every page but the first, whose body begins at the margin."""
        return self.size[1] - MARGIN - _HEAD_HEIGHT

    @property
    def body_bottom(self) -> float:
        return MARGIN + SMALL * LEADING * max(len(self.foot), 1) + 12


def compose(frame: Frame, sections: Sequence[Section], structure: Structure | None = None) -> bytes:
    """The sections as a PDF inside the frame, or each inside its own. The same input gives the same bytes.

    structure: empty; filled with what stands on the pages, to be added to the PDF.
    """
    frames = dict.fromkeys(section.frame or frame for section in sections)
    ends = (_foot_section(each) for each in frames or (frame,) if each.foot_at_end)
    pages = _paginate(frame, (*sections, *ends))
    buffer = BytesIO()
    canvas = Canvas(buffer, frame.size, language=frame.language, structure=structure)
    canvas.setTitle(printable(frame.title))
    canvas.setSubject(printable(frame.identity))
    canvas.setAuthor(printable(frame.author))
    for number, page in enumerate(pages, start=1):
        canvas.setPageSize(page.frame.size)
        _draw_page(canvas, page, number, len(pages))
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def space(height: float, *, keep: bool = False) -> Piece:
    """An empty strip."""
    return Piece(height, _draw_nothing, keep=keep, tag=SELF)


def height_of(pieces: Iterable[Piece]) -> float:
    """Points from the top of the first to the foot of the last."""
    return sum(piece.height for piece in pieces)


def _draw_nothing(canvas: Canvas, left: float, placed: Placed) -> None:
    """A space has nothing to draw."""


def _paginate(frame: Frame, sections: Sequence[Section]) -> list[_Page]:
    pages = [_Page(sections[0].frame or frame if sections else frame)]
    top = pages[0].frame.size[1] - MARGIN

    def turn_page(frame: Frame) -> None:
        nonlocal top
        pages.append(_Page(frame))
        top = frame.body_top

    def place(pieces: Sequence[Piece]) -> None:
        nonlocal top
        for piece in pieces:
            pages[-1].placed.append((top, piece))
            top -= piece.height

    for section in sections:
        own = section.frame or frame
        turns = top - section.room < own.body_bottom if section.room else section.new_page
        if pages[-1].placed and (turns or own != pages[-1].frame):
            turn_page(own)
        begun = False
        for cluster in _clusters(section.pieces):
            height = height_of(cluster)
            if top - height < own.body_bottom and pages[-1].placed:
                if all(piece.gap for piece in cluster):
                    top = own.body_bottom
                    continue
                pages[-1].is_continued = begun
                turn_page(own)
                if begun:
                    place((_continued(section.title, own.width), *cluster[0].head))
            if not begun:
                pages[-1].bookmarks.append((section.title, top))
                begun = True
            place(cluster if pages[-1].placed else tuple(dropwhile(lambda piece: piece.gap, cluster)))
    return pages


def _clusters(pieces: Sequence[Piece]) -> Iterator[tuple[Piece, ...]]:
    # Pieces to be kept together: each run of ``keep`` with the one that follows it.
    cluster: list[Piece] = []
    for piece in pieces:
        cluster.append(piece)
        if not piece.keep:
            yield tuple(cluster)
            cluster = []
    if cluster:
        yield tuple(cluster)


def _continued(title: str, width: float) -> Piece:
    mark = " (continued)"
    room = width - text_width(mark, _CONTINUED_SIZE)
    said = one_line(printable(title), _CONTINUED_SIZE, room) + mark
    return Piece(_CONTINUED_HEIGHT, _draw_continued, said, tag=ARTIFACT)


def _draw_continued(canvas: Canvas, left: float, placed: Placed) -> None:
    canvas.ink(INK)
    for top, text in placed:
        canvas.write(left, top - _CONTINUED_SIZE - 1, text, _CONTINUED_SIZE, strong=True)


def _draw_page(canvas: Canvas, page: _Page, number: int, total: int) -> None:
    frame = page.frame
    for title, top in page.bookmarks:
        key = f"{number}-{top:.1f}"
        canvas.bookmarkPage(key, fit="XYZ", left=0, top=top + 4, zoom=0)
        canvas.addOutlineEntry(printable(title).replace("\n", " "), key)
    if canvas.structure:
        canvas.structure.next_page()
    if frame.notice:
        with canvas.tagged(ARTIFACT):
            _draw_notice(canvas, frame)
    for (draw, tag), run in groupby(page.placed, key=lambda placed: (placed[1].draw, placed[1].tag)):
        with canvas.tagged(tag):
            draw(canvas, frame.left, [(top, piece.content) for top, piece in run])
    with canvas.tagged(ARTIFACT):
        if number > 1:
            _draw_head(canvas, frame)
        _draw_foot(canvas, frame, number, total)
        if page.is_continued:
            _draw_continues(canvas, frame, number + 1)


def _draw_notice(canvas: Canvas, frame: Frame) -> None:
    width, height = frame.size
    canvas.ink(INK)
    canvas.write(
        (width - text_width(frame.notice, _NOTICE_SIZE)) / 2,
        height - MARGIN + (MARGIN - _NOTICE_SIZE) / 2,
        frame.notice,
        _NOTICE_SIZE,
        strong=True,
    )
    canvas.saveState()
    canvas.translate(width / 2, height / 2)
    canvas.rotate(degrees(atan2(height, width)))
    size = 0.8 * hypot(width, height) / text_width(frame.notice, 1)
    canvas.ink(_BEHIND)
    canvas.write(-text_width(frame.notice, size) / 2, -size / 3, frame.notice, size)
    canvas.restoreState()


def _draw_head(canvas: Canvas, frame: Frame) -> None:
    y = frame.size[1] - MARGIN - _HEAD_SIZE
    right = frame.left + frame.width
    title = one_line(printable(frame.title), _HEAD_SIZE, frame.width * 0.45)
    identity = one_line(printable(frame.identity), _HEAD_SIZE, frame.width * 0.52)
    canvas.ink(ACCENT)
    canvas.write(frame.left, y, title, _HEAD_SIZE, strong=True)
    canvas.ink(FAINT)
    canvas.write(right - text_width(identity, _HEAD_SIZE), y, identity, _HEAD_SIZE)
    canvas.rule(frame.left, right, y - 4.5, THIN, ACCENT)


def _draw_foot(canvas: Canvas, frame: Frame, number: int, total: int) -> None:
    leading = SMALL * LEADING
    right = frame.left + frame.width
    last = MARGIN + 2
    canvas.rule(frame.left, right, _foot_top(frame), THIN, RULE)
    for above, (label, text) in enumerate(reversed(frame.foot)):
        _draw_labelled(canvas, frame.left, last + above * leading, label, text)
    _draw_right(canvas, right, last, f"Page {number} of {total}")


def _draw_continues(canvas: Canvas, frame: Frame, number: int) -> None:
    _draw_right(canvas, frame.left + frame.width, _foot_top(frame) + 2.5, f"continues on page {number}")


def _draw_right(canvas: Canvas, right: float, y: float, text: str) -> None:
    canvas.ink(INK)
    canvas.write(right - text_width(text, SMALL), y, text, SMALL)


def _foot_top(frame: Frame) -> float:
    return MARGIN + 2 + SMALL * LEADING * max(len(frame.foot), 1)


def _draw_labelled(canvas: Canvas, left: float, y: float, label: str, text: str) -> None:
    canvas.ink(INK)
    canvas.write(left, y, label, SMALL, strong=True)
    canvas.write(left + _FOOT_LABEL_WIDTH, y, text, SMALL)


def _foot_section(frame: Frame) -> Section:
    pieces = (Piece(SMALL * LEADING, _draw_foot_lines, line) for line in frame.foot_at_end)
    return Section("Cautions and key", (space(SMALL * LEADING), *pieces), new_page=False, frame=frame)


def _draw_foot_lines(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, (label, text) in placed:
        _draw_labelled(canvas, left, top - SMALL, label, text)
