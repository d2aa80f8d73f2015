"""The blocks a page body is made of besides tables: the opening of a document, headings, paragraphs and
facts. Each returns pieces; a long text is divided between lines, so it can run over any number of pages.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from reportlab.lib.colors import Color

from reports.pdf.canvas import Canvas
from reports.pdf.page import (
    ACCENT,
    FAINT,
    FIRM,
    INK,
    LEADING,
    SMALL,
    Frame,
    Piece,
    Placed,
    space,
)
from reports.pdf.tags import ARTIFACT, PARA, SELF
from reports.pdf.text import printable, text_width, wrap
from reports.sheets.sheet import NOT_ENTERED, Fact

_GRID = 12  # facts stand on a grid of this many columns
_FACT_SIZE, _FACT_GAP, _FACT_BELOW = 8.0, 10.0, 3.5
_FACT_LINES = 4  # a value that needs more is printed as a paragraph, which can run over pages


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """A style of running text: type size in points, colour, weight, indent in points, and what it is in the
    structure of the document."""

    size: float
    colour: Color = INK
    strong: bool = False
    indent: float = 0
    tag: str = PARA

    def pieces(self, text: str, width: float, *, keep: bool = False) -> tuple[Piece, ...]:
        """The text wrapped to ``width`` points, a piece a line. keep: hold the last line to what follows."""
        lines = wrap(printable(text), self.size, width - self.indent)
        last = len(lines) - 1
        return tuple(
            Piece(self.size * LEADING, self.draw, line, keep and n == last, tag=self.tag)
            for n, line in enumerate(lines)
        )

    def draw(self, canvas: Canvas, left: float, placed: Placed) -> None:
        canvas.ink(self.colour)
        for top, line in placed:
            canvas.write(left + self.indent, top - self.size, line, self.size, strong=self.strong)


TITLE = Lines(15, strong=True, tag="H1")
SUBTITLE = Lines(9.5, FAINT)
HEADING = Lines(10.5, ACCENT, strong=True, tag="H2")
PARAGRAPH = Lines(8)
NOTE = Lines(7)


def heading(text: str, width: float) -> tuple[Piece, ...]:
    """A heading that stays with what follows it."""
    return (*HEADING.pieces(text, width, keep=True), space(3, keep=True))


def opening(frame: Frame, subtitle: str, facts: Sequence[Fact]) -> tuple[Piece, ...]:
    """The start of a document: title, subtitle, identity and the facts of the whole, in full."""
    width = frame.width
    return (
        *TITLE.pieces(frame.title, width),
        *(SUBTITLE.pieces(subtitle, width) if subtitle else ()),
        *(SUBTITLE.pieces(frame.identity, width) if frame.identity else ()),
        Piece(8, _draw_rule, width, tag=ARTIFACT),
        *facts_block(facts, width),
        space(6),
    )


def facts_block(facts: Iterable[Fact], width: float) -> tuple[Piece, ...]:
    """Labels above their values, filled into rows from left to right on a grid."""
    unit = width / _GRID
    pieces: list[Piece] = []
    row: list[tuple[float, str, tuple[str, ...]]] = []
    used = 0

    def end_row() -> None:
        nonlocal used
        if row:
            tallest = max(len(lines) for _, _, lines in row)
            height = SMALL * LEADING + tallest * _FACT_SIZE * LEADING + _FACT_BELOW
            pieces.append(Piece(height, _draw_facts, tuple(row), tag=SELF))
        row.clear()
        used = 0

    for fact in facts:
        label, value = printable(fact.label).replace("\n", " "), printable(fact.value) or NOT_ENTERED
        lines = wrap(value, _FACT_SIZE, width - _FACT_GAP)
        if len(lines) > _FACT_LINES or text_width(label, SMALL) > width:
            end_row()
            pieces += PARAGRAPH.pieces(f"{label}: {value}", width)
            pieces.append(space(_FACT_BELOW))
            continue
        natural = max(text_width(label, SMALL), *(text_width(line, _FACT_SIZE) for line in lines))
        span = min(ceil((natural + _FACT_GAP) / unit), _GRID)
        if used + span > _GRID:
            end_row()
        row.append((used * unit, label, lines))
        used += span
    end_row()
    return tuple(pieces)


def _draw_facts(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, row in placed:
        for x, label, lines in row:
            with canvas.tagged(PARA):
                y = top - SMALL
                canvas.ink(FAINT)
                canvas.write(left + x, y, label, SMALL)
                canvas.ink(INK)
                for line in lines:
                    y -= _FACT_SIZE * LEADING
                    canvas.write(left + x, y, line, _FACT_SIZE)


def _draw_rule(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, width in placed:
        canvas.rule(left, left + width, top - 2.5, FIRM, ACCENT)
