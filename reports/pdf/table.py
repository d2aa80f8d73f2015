"""A table of a schedule: two heading rows repeated on each page, thin rules, figures aligned on the decimal
point. Cells are wrapped once, before paging, and drawn directly on the canvas.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inspections.columns import Column, Kind
from reports.pdf.blocks import NOTE
from reports.pdf.canvas import Canvas, Word
from reports.pdf.page import (
    ACCENT,
    FAINT,
    FIRM,
    HAIR,
    INK,
    LEADING,
    RULE,
    SMALL,
    THIN,
    Piece,
    Placed,
    space,
)
from reports.pdf.text import printable, text_width, wrap
from reports.sheets.sheet import FIGURES, Cell, Sheet
from reports.sheets.text import cell_text

SIZE = 7.0
_LINE = SIZE * LEADING
_PAD = 2.2  # each side of a cell
_ABOVE, _BELOW = 2.0, 2.2  # above the first line of a row and below its last
_HEAD_LINE = SMALL * LEADING

_MOST_LINES = 12  # a cell that needs more is printed below the table, over the whole width

Row = tuple[tuple[str, ...], ...]
"""The lines of each cell."""


def column_edges(columns: Sequence[Column], width: float) -> tuple[float, ...]:
    """The left edge of each column and the right edge of the last, points, when ``width_mm`` is scaled so
    that the table fills ``width``."""
    scale = width / sum(column.width_mm for column in columns)
    edges = [0.0]
    for column in columns:
        edges.append(edges[-1] + column.width_mm * scale)
    return tuple(edges)


def table(sheet: Sheet, width: float) -> tuple[Piece, ...]:
    """The sheet's heading and rows as pieces, ``width`` points wide. A text that would make its row very
    tall is printed in full below the table, as a numbered note that its cell points to."""
    columns = _place_columns(sheet, width)
    head = _Head(sheet, columns).piece()
    body = _Body(columns, tuple(columns[start].left for _, start, _ in sheet.groups()), width)
    aside: list[str] = []
    rows = []
    for cells in sheet.rows:
        row = body.wrapped(cells)
        if max(map(len, row)) > _MOST_LINES:
            row = tuple(_set_aside(sheet, cells, row, columns, aside))
        rows.append(Piece(_row_height(row), body.draw, row, head=(head,)))
    notes = (line for note in aside for line in NOTE.pieces(note, width))
    return (head, *rows, *((space(4), *notes) if aside else ()))


def _set_aside(
    sheet: Sheet, cells: Sequence[Cell], row: Row, columns: Sequence["_Place"], aside: list[str]
) -> Iterator[tuple[str, ...]]:
    for column, cell, lines, place in zip(sheet.columns, cells, row, columns, strict=True):
        if len(lines) <= _MOST_LINES:
            yield lines
            continue
        number = len(aside) + 1
        where = column.heading if place is columns[0] else f"{row[0][0]}, {column.heading}"
        aside.append(f"Note {number} ({where}): {cell_text(cell)}")
        yield place.wrapped(f"see note {number} below")


def _row_height(row: Row) -> float:
    return _ABOVE + _BELOW + _LINE * max(map(len, row))


class _Place:
    """Where one column stands between its rules, how its cells wrap, and where a line of it begins.

    Text begins at the left; ticks and words stand in the middle; figures too, as a block with their decimal
    points under each other.
    """

    def __init__(self, column: Column, left: float, right: float) -> None:
        self.left, self.right = left, right
        self.inner = right - left - 2 * _PAD
        self.kind = column.kind
        self._front = self._back = 0.0  # the widest parts before and after the point
        self._lines: dict[str, tuple[str, ...]] = {}
        self._xs: dict[str, float] = {}

    def wrapped(self, text: str) -> tuple[str, ...]:
        lines = self._lines.get(text)
        if lines is None:
            lines = self._lines[text] = wrap(printable(text), SIZE, self.inner)
            if self.kind in FIGURES and len(lines) == 1 and _is_figure(text):
                front, back = _around_point(text)
                self._front, self._back = max(self._front, front), max(self._back, back)
        return lines

    def x(self, line: str) -> float:
        """Where the line begins; to be asked once every cell is wrapped."""
        x = self._xs.get(line)
        if x is None:
            x = self._xs[line] = self._aligned(line)
        return x

    def _aligned(self, line: str) -> float:
        if self.kind in FIGURES and _is_figure(line) and self._front + self._back <= self.inner:
            front, back = _around_point(line)
            if front <= self._front and back <= self._back:  # not so for the lines of a broken figure
                return (self.left + self.right + self._front - self._back) / 2 - front
        return self.loose(line, SIZE)

    def loose(self, line: str, size: float) -> float:
        """Where a line begins without regard to decimal points."""
        if self.kind is Kind.TEXT:
            return self.left + _PAD
        return (self.left + self.right - text_width(line, size)) / 2


def _is_figure(text: str) -> bool:
    return text[-1:].isdigit()


def _around_point(text: str) -> tuple[float, float]:
    front, point, back = text.partition(".")
    return text_width(front, SIZE), text_width(point + back, SIZE)


def _place_columns(sheet: Sheet, width: float) -> tuple[_Place, ...]:
    edges = column_edges(sheet.columns, width)
    return tuple(map(_Place, sheet.columns, edges, edges[1:]))


@dataclass(frozen=True, slots=True, eq=False)
class _Body:
    """The rows of one table. dividers: where a rule separates two groups of columns."""

    columns: tuple[_Place, ...]
    dividers: tuple[float, ...]
    width: float

    def wrapped(self, row: Sequence[Cell]) -> Row:
        return tuple(place.wrapped(cell_text(cell)) for place, cell in zip(self.columns, row, strict=True))

    def draw(self, canvas: Canvas, left: float, placed: Placed) -> None:
        canvas.ink(INK)
        canvas.write_all(self._words(left, placed), SIZE)
        self._draw_rules(canvas, left, placed)

    def _words(self, left: float, placed: Placed) -> Iterator[Word]:
        for top, row in placed:
            first = top - _ABOVE - SIZE
            for place, lines in zip(self.columns, row, strict=True):
                for number, line in enumerate(lines):
                    if line:
                        yield left + place.x(line), first - number * _LINE, line

    def _draw_rules(self, canvas: Canvas, left: float, placed: Placed) -> None:
        right = left + self.width
        top, (last_top, last_row) = placed[0][0], placed[-1]
        bottom = last_top - _row_height(last_row)
        canvas.setStrokeColor(RULE)
        canvas.setLineWidth(HAIR)
        canvas.lines([(left, y, right, y) for y, _ in placed[1:]])
        canvas.setLineWidth(THIN)
        canvas.lines([(left + x, top, left + x, bottom) for x in self.dividers[1:]])
        canvas.rule(left, right, bottom, THIN, INK)


class _Head:
    """The two heading rows: groups over their columns, and each column's heading over its unit."""

    def __init__(self, sheet: Sheet, columns: tuple[_Place, ...]) -> None:
        self.columns = columns
        spans = ((name, columns[start].left, columns[end - 1].right) for name, start, end in sheet.groups())
        self.groups = tuple((left, right, _head_lines(name, left, right)) for name, left, right in spans)
        self.headings = tuple(
            _head_lines(column.heading, place.left, place.right)
            for column, place in zip(sheet.columns, columns, strict=True)
        )
        self.units = tuple(printable(column.unit) for column in sheet.columns)
        named = max((len(lines) for _, _, lines in self.groups if any(lines)), default=0)
        self.group_height = named * _HEAD_LINE + 4
        heading_lines = max(map(len, self.headings)) + any(self.units)
        self.height = self.group_height + heading_lines * _HEAD_LINE + 5

    def piece(self) -> Piece:
        return Piece(self.height, self.draw, keep=True)

    def draw(self, canvas: Canvas, left: float, placed: Placed) -> None:
        for top, _ in placed:
            self._draw_groups(canvas, left, top)
            self._draw_headings(canvas, left, top - self.height + 3.5)
            right = left + self.columns[-1].right
            canvas.rule(left, right, top, FIRM, INK)
            canvas.rule(left, right, top - self.height, THIN, INK)

    def _draw_groups(self, canvas: Canvas, left: float, top: float) -> None:
        bottom = top - self.height
        for number, (start, end, lines) in enumerate(self.groups):
            canvas.ink(ACCENT)
            y = top - SMALL - 2
            for line in lines:
                x = (start + end - text_width(line, SMALL)) / 2
                canvas.write(left + x, y, line, SMALL, strong=True)
                y -= _HEAD_LINE
            if any(lines):
                canvas.rule(left + start + _PAD, left + end - _PAD, top - self.group_height, HAIR, ACCENT)
            if number:
                canvas.setStrokeColor(RULE)
                canvas.setLineWidth(THIN)
                canvas.line(left + start, top, left + start, bottom)

    def _draw_headings(self, canvas: Canvas, left: float, last: float) -> None:
        for place, lines, unit in zip(self.columns, self.headings, self.units, strict=True):
            y = last
            if any(self.units):
                canvas.ink(FAINT)
                canvas.write(left + place.loose(unit, SMALL), y, unit, SMALL)
                y += _HEAD_LINE
            canvas.ink(INK)
            for line in reversed(lines):
                canvas.write(left + place.loose(line, SMALL), y, line, SMALL)
                y += _HEAD_LINE


def _head_lines(text: str, left: float, right: float) -> tuple[str, ...]:
    return wrap(printable(text), SMALL, right - left - 2 * _PAD)
