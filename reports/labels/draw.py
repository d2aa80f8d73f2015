"""Labels on their stock, as a PDF. Each carries its text and a QR code that holds the same text, so that it
can be read by eye and by any phone, without a network and without this program.

Text that does not fit is set smaller; what does not fit at the smallest type goes on a further label, “1 of
2”.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import groupby
from math import inf

import segno
from reportlab.lib.colors import black
from reportlab.lib.units import mm
from segno import consts

from reports.labels.sheets import Stock
from reports.pdf.canvas import Canvas
from reports.pdf.text import printable, wrap
from reports.sheets.text import clean

LARGEST, SMALLEST, STEP = 12.0, 6.0, 0.5  # type sizes tried, points
SQUARES_MM = (0.5, 0.42, 0.33)  # side of a QR code's squares, tried in turn: common practice, no source
_QUIET = 4  # light squares around a QR code (ISO/IEC 18004)
_CODE_SHARE = 0.48  # of the label's width, at most
_PAD = 2 * mm
_LEADING = 1.2
_TITLE_SCALE = 1.1
_GAP = 0.25  # above the first line of each text, of its size


class LabelError(ValueError):
    """The label cannot be drawn on this stock. The message says what to do instead."""


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says: title lines, a line for each circuit, and the date it was made, as text."""

    title: tuple[str, ...]
    lines: tuple[str, ...]
    date: str


@dataclass(frozen=True, slots=True)
class _Setting:
    """A label, or one part of one, as it is printed: its lines from the top, and its QR code."""

    rows: tuple["_Row", ...]
    text: str
    code_side: float

    @property
    def height(self) -> float:
        return sum(row.height for row in self.rows)


@dataclass(frozen=True, slots=True)
class _Row:
    line: str
    size: float
    strong: bool
    height: float


def draw_labels(labels: Sequence[Label], stock: Stock, *, skip: int = 0) -> bytes:
    """The labels as a PDF; ``skip`` places of the first sheet are left free because they are used up.

    The same labels give the same bytes. Raises LabelError where not even the smallest type leaves room.
    """
    buffer = BytesIO()
    height = stock.page_height_mm * mm
    canvas = Canvas(buffer, (stock.page_width_mm * mm, height))
    canvas.setTitle("Board labels")
    parts = [part for label in labels for part in _set(label, stock)]
    for place, part in enumerate(parts, start=skip % stock.per_page):
        if place and place % stock.per_page == 0:
            canvas.showPage()
        row, column = divmod(place % stock.per_page, stock.columns)
        left = (stock.left_mm + column * stock.pitch_x_mm) * mm
        top = height - (stock.top_mm + row * stock.pitch_y_mm) * mm
        _draw(canvas, part, left, top, stock)
    canvas.save()
    return buffer.getvalue()


def _set(label: Label, stock: Stock) -> list[_Setting]:
    """The label at the largest type that fits, or in parts at the smallest."""
    steps = int((LARGEST - SMALLEST) / STEP) + 1
    for size in (LARGEST - n * STEP for n in range(steps)):
        for square_mm in SQUARES_MM:
            whole = _setting(label, label.lines, "", size, square_mm, stock)
            if _fits(whole, stock):
                return [whole]
    groups = list(_groups(label, stock))
    marks = (f"{number} of {len(groups)}" for number in range(1, len(groups) + 1))
    return [_smallest(label, group, mark, stock) for group, mark in zip(groups, marks, strict=True)]


def _smallest(label: Label, lines: Sequence[str], mark: str, stock: Stock) -> _Setting:
    return _setting(label, lines, mark, SMALLEST, SQUARES_MM[-1], stock)


def _groups(label: Label, stock: Stock) -> Iterator[list[str]]:
    """The circuits' lines, as many to a label as fit at the smallest type."""

    def fits(lines: Sequence[str]) -> bool:
        return _fits(_smallest(label, lines, "000 of 000", stock), stock)

    if not fits(["M"]):
        raise LabelError(
            f"“{' '.join(label.title)}”: the title leaves no room for circuits on {stock.name}. "
            "Shorten the title or take a larger label."
        )
    group: list[str] = []
    waiting = list(reversed(label.lines))
    while waiting:
        line = waiting.pop()
        if fits([*group, line]):
            group.append(line)
        elif group:
            yield group
            group = []
            waiting.append(line)
        else:
            begin = _longest_begin(line, fits)
            yield [begin]
            waiting.append(line[len(begin) :].lstrip())
    yield group


def _longest_begin(line: str, fits: Callable[[Sequence[str]], bool]) -> str:
    """As much of a line as fits on a label of its own, to the last space in it if there is one."""
    lengths = range(1, len(line) + 1)
    begin = line[: bisect_left(lengths, True, key=lambda length: not fits([line[:length]]))]
    space = begin.rfind(" ")
    return begin[:space] if space > 0 else begin


def _setting(
    label: Label, lines: Sequence[str], mark: str, size: float, square_mm: float, stock: Stock
) -> _Setting:
    """The lines set in type of one size beside their QR code, whether or not they fit."""
    date = " · ".join(filter(None, (label.date, mark)))
    text = clean("\n".join((*label.title, *lines, date)))
    side = _squares(len(text.encode())) * square_mm * mm
    width = stock.label_width_mm * mm - _PAD - side
    title = _rows(label.title, size * _TITLE_SCALE, width, strong=True)
    return _Setting((*title, *_rows((*lines, date), size, width, strong=False)), text, side)


def _rows(texts: Sequence[str], size: float, width: float, *, strong: bool) -> Iterator[_Row]:
    for text in texts:
        for number, line in enumerate(wrap(printable(text), size, max(width, size))):
            yield _Row(line, size, strong, size * (_LEADING if number else _LEADING + _GAP))


def _fits(setting: _Setting, stock: Stock) -> bool:
    most = min(stock.label_height_mm, stock.label_width_mm * _CODE_SHARE) * mm
    return setting.height <= stock.label_height_mm * mm - 2 * _PAD and setting.code_side <= most


def _squares(length: int) -> float:
    # Along the side, from the capacity of each version in byte mode (ISO/IEC 18004, as segno holds it).
    for version in range(1, 41):
        count_bits = 8 if version < 10 else 16
        capacity = (consts.SYMBOL_CAPACITY[version][consts.ERROR_LEVEL_M] - 4 - count_bits) // 8
        if length <= capacity:
            return 17 + 4 * version + 2 * _QUIET
    return inf


def _draw(canvas: Canvas, setting: _Setting, left: float, top: float, stock: Stock) -> None:
    canvas.ink(black)
    y = top - (stock.label_height_mm * mm - setting.height) / 2
    for row in setting.rows:
        y -= row.height
        baseline = y + row.size * (_LEADING - 1)
        canvas.write(left + _PAD, baseline, row.line, row.size, strong=row.strong)
    code_left = left + stock.label_width_mm * mm - setting.code_side
    code_top = top - (stock.label_height_mm * mm - setting.code_side) / 2
    _draw_code(canvas, setting.text, code_left, code_top, setting.code_side)


def _draw_code(canvas: Canvas, text: str, left: float, top: float, side: float) -> None:
    code = segno.make_qr(text, error="m", mode="byte", encoding="utf-8")
    matrix = code.matrix
    square = side / (len(matrix) + 2 * _QUIET)
    path = canvas.beginPath()
    for row, squares in enumerate(matrix):
        y = top - (row + 1 + _QUIET) * square
        for dark, start, end in _runs(squares):
            if dark:
                path.rect(left + (start + _QUIET) * square, y, (end - start) * square, square)
    canvas.drawPath(path, stroke=0, fill=1)


def _runs(squares: Iterable[int]) -> Iterator[tuple[int, int, int]]:
    # Neighbouring dark squares as one rectangle, so that no light hair shows between them.
    start = 0
    for dark, run in groupby(squares):
        end = start + len(list(run))
        yield dark, start, end
        start = end
