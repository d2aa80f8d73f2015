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
from reports.pdf.tags import ARTIFACT, SELF, Element
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


def table(sheet: Sheet, width: float, of: object = None) -> tuple[Piece, ...]:
    """The sheet's heading and rows as pieces, ``width`` points wide. A text that would make its row very
    tall is printed in full below the table, as a numbered note that its cell points to. of: whatever stands
    for the whole table where it is made of several sheets; else the sheet itself."""
    of = of or sheet
    columns = _place_columns(sheet, width)
    head = _Head(of, sheet, columns).piece()
    body = _Body(of, columns, tuple(columns[start].left for _, start, _ in sheet.groups()), width)
    aside: list[str] = []
    rows = []
    for cells in sheet.rows:
        row = body.wrapped(cells)
        if max(map(len, row)) > _MOST_LINES:
            row = tuple(_set_aside(sheet, cells, row, columns, aside))
        rows.append(Piece(_row_height(row), body.draw, row, head=(head,), tag=SELF))
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

    of: object
    columns: tuple[_Place, ...]
    dividers: tuple[float, ...]
    width: float

    def wrapped(self, row: Sequence[Cell]) -> Row:
        return tuple(place.wrapped(cell_text(cell)) for place, cell in zip(self.columns, row, strict=True))

    def draw(self, canvas: Canvas, left: float, placed: Placed) -> None:
        canvas.ink(INK)
        for top, row in placed:
            canvas.write_row(self.of, self._cells(left, top, row), SIZE)
        with canvas.tagged(ARTIFACT):
            self._draw_rules(canvas, left, placed)

    def _cells(self, left: float, top: float, row: Row) -> Iterator[list[Word]]:
        first = top - _ABOVE - SIZE
        for place, lines in zip(self.columns, row, strict=True):
            yield [
                (left + place.x(line), first - number * _LINE, line)
                for number, line in enumerate(lines)
                if line
            ]

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


@dataclass(frozen=True, slots=True)
class _Group:
    """The heading over some columns: between which edges, how many they are, and its lines."""

    left: float
    right: float
    columns: int
    lines: tuple[str, ...]


class _Head:
    """The two heading rows: groups over their columns, and each column's heading over its unit."""

    def __init__(self, of: object, sheet: Sheet, columns: tuple[_Place, ...]) -> None:
        self.of, self.columns = of, columns
        spans = ((name, columns[a].left, columns[b - 1].right, b - a) for name, a, b in sheet.groups())
        self.groups = tuple(
            _Group(left, right, many, _head_lines(name, left, right)) for name, left, right, many in spans
        )
        self.headings = tuple(
            _head_lines(column.heading, place.left, place.right)
            for column, place in zip(sheet.columns, columns, strict=True)
        )
        self.units = tuple(printable(column.unit) for column in sheet.columns)
        named = max((len(group.lines) for group in self.groups if any(group.lines)), default=0)
        self.group_height = named * _HEAD_LINE + 4
        self.unit_lines = 1 if any(self.units) else 0
        heading_lines = max(map(len, self.headings)) + self.unit_lines
        self.height = self.group_height + heading_lines * _HEAD_LINE + 5

    def piece(self) -> Piece:
        return Piece(self.height, self.draw, keep=True, tag=SELF)

    def draw(self, canvas: Canvas, left: float, placed: Placed) -> None:
        for top, _ in placed:
            with canvas.table_head(self.of) as table:
                self._write_groups(canvas, left, top, table)
                self._write_headings(canvas, left, top - self.height + 3.5, table)
            with canvas.tagged(ARTIFACT):
                self._draw_rules(canvas, left, top)

    def _write_groups(self, canvas: Canvas, left: float, top: float, table: Element | None) -> None:
        if not any(any(group.lines) for group in self.groups):
            return
        row = table and table.add(Element("TR"))
        canvas.ink(ACCENT)
        for group in self.groups:
            with canvas.heading_of(group.columns, row):
                y = top - SMALL - 2
                for line in group.lines:
                    x = (group.left + group.right - text_width(line, SMALL)) / 2
                    canvas.write(left + x, y, line, SMALL, strong=True)
                    y -= _HEAD_LINE

    def _write_headings(self, canvas: Canvas, left: float, last: float, table: Element | None) -> None:
        row = table and table.add(Element("TR"))
        for place, lines, unit in zip(self.columns, self.headings, self.units, strict=True):
            with canvas.heading_of(1, row):
                canvas.ink(INK)
                y = last + (len(lines) - 1 + self.unit_lines) * _HEAD_LINE
                for line in lines:
                    canvas.write(left + place.loose(line, SMALL), y, line, SMALL)
                    y -= _HEAD_LINE
                if unit:
                    canvas.ink(FAINT)
                    canvas.write(left + place.loose(unit, SMALL), y, unit, SMALL)

    def _draw_rules(self, canvas: Canvas, left: float, top: float) -> None:
        bottom = top - self.height
        right = left + self.columns[-1].right
        canvas.rule(left, right, top, FIRM, INK)
        canvas.rule(left, right, bottom, THIN, INK)
        for number, group in enumerate(self.groups):
            if any(group.lines):
                y = top - self.group_height
                canvas.rule(left + group.left + _PAD, left + group.right - _PAD, y, HAIR, ACCENT)
            if number:
                canvas.setStrokeColor(RULE)
                canvas.setLineWidth(THIN)
                canvas.line(left + group.left, top, left + group.left, bottom)


def _head_lines(text: str, left: float, right: float) -> tuple[str, ...]:
    return wrap(printable(text), SMALL, right - left - 2 * _PAD)
