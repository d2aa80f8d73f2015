"""An installation drawn: the supply, below it each board at the end of what feeds it, its circuits as teeth
of its busbar, and at their ends what is left across them.
"""

from collections.abc import Iterator
from itertools import accumulate

from reportlab.graphics.shapes import Circle, Drawing, Rect

from reports.drawings import marks
from reports.installation_drawn import BoardDrawn, CircuitDrawn, InstallationDrawn, Mark
from reports.pdf.page import FAINT, INK
from reports.pdf.text import one_line, printable, text_width

WIDTH = 520.0
_SUPPLY, _ROW, _NUMBERS, _KEY = 24.0, 30.0, 11.0, 16.0  # heights of the parts, from the top down
_SUPPLY_BOTTOM = 17.0  # where the feeds leave the sign of the supply
_TRUNK, _INDENT = 11.0, 16.0  # where the first feed runs down, and each further one beside it
_STUB, _BOX = 12.0, 13.0  # from the feed to the board; height of a board
_BUS = 15.0  # below the top of a row
_TOOTH, _WIDEST_GAP = 9.0, 20.0
_SMALL = 6.5
_MARK = 2.6  # half the width of a mark
_MOST = 14  # boards of one drawing in print, so that it fits a page

_KEY_WORDS = {
    Mark.HIDDEN: "hidden part across the circuit",
    Mark.SEEN: "part to be seen",
    Mark.DISCONNECTED: "disconnected for test",
    Mark.SUSPECTED: "suspected",
}
_NOT_ON_LABEL = "not on the board’s label"


def installation(drawn: InstallationDrawn) -> Drawing:
    """The whole of it, as tall as its boards make it."""
    return _drawing(drawn, 0, len(drawn.boards))


def sheets(drawn: InstallationDrawn) -> Iterator[Drawing]:
    """The same in parts that fit a page."""
    for start in range(0, len(drawn.boards), _MOST):
        yield _drawing(drawn, start, min(start + _MOST, len(drawn.boards)))


def _drawing(drawn: InstallationDrawn, start: int, end: int) -> Drawing:
    boards = drawn.boards[start:end]
    head = 0.0 if start else _SUPPLY
    heights = [_ROW + (_NUMBERS if board.loaded else 0) for board in boards]
    drawing = marks.blank(WIDTH, head + sum(heights) + _KEY)
    tops = [drawing.height - head - above for above in accumulate(heights[:-1], initial=0.0)]
    if not start:
        _supply(drawing, drawn.supply)
    _feeds(drawing, drawn.boards, start, tops)
    left = max(_TRUNK + board.depth * _INDENT + _STUB + _box_width(board) for board in drawn.boards) + 8
    for board, row in zip(boards, tops, strict=True):
        _board(drawing, board, row, left)
    _key(drawing, [circuit for board in drawn.boards for circuit in board.loaded])
    return drawing


def _supply(drawing: Drawing, said: str) -> None:
    y = drawing.height - 9
    drawing.add(Circle(_TRUNK, y, 8, fillColor=None, strokeColor=INK, strokeWidth=marks.STROKE))
    marks.wave(drawing, _TRUNK, y, 0.75)
    marks.text(drawing, _TRUNK + 14, y - 2.5, one_line(printable(f"Supply: {said}"), marks.SIZE, WIDTH - 40))


def _feeds(drawing: Drawing, boards: tuple[BoardDrawn, ...], start: int, tops: list[float]) -> None:
    """What feeds each board, down from its feeder. Feeds from and to boards of other sheets run on to the
    edge."""
    end = start + len(tops)
    for number, board in enumerate(boards):
        feeder = _feeder(boards, number)
        if number < start or feeder >= end:
            continue
        x = _TRUNK + board.depth * _INDENT
        if feeder >= start:
            begins = tops[feeder - start] - _BUS - _BOX / 2
        else:
            begins = drawing.height - (0 if start else _SUPPLY_BOTTOM)
        if number < end:
            y = tops[number - start] - _BUS
            marks.line(drawing, x, begins, x, y, x + _STUB, y)
        else:
            marks.line(drawing, x, begins, x, _KEY)


def _feeder(boards: tuple[BoardDrawn, ...], number: int) -> int:
    """Which board feeds one; -1 for the supply."""
    return next((n for n in range(number - 1, -1, -1) if boards[n].depth < boards[number].depth), -1)


def _board(drawing: Drawing, board: BoardDrawn, top: float, left: float) -> None:
    y = top - _BUS
    x, width = _TRUNK + board.depth * _INDENT + _STUB, _box_width(board)
    drawing.add(
        Rect(x, y - _BOX / 2, width, _BOX, fillColor=None, strokeColor=INK, strokeWidth=marks.STROKE * 1.5)
    )
    marks.text(drawing, x + width / 2, y - 2.6, board.designation, anchor="middle")
    said = one_line(printable(board.said), _SMALL, WIDTH - left)
    marks.text(drawing, left, y + 4, said, size=_SMALL, colour=FAINT)
    if not board.circuits:
        return
    gap = min(_WIDEST_GAP, (WIDTH - left - 10) / len(board.circuits))
    last = left + 4 + (len(board.circuits) - 1) * gap
    marks.line(drawing, x + width, y, last, y, width=1.6)
    written = 0.0  # where the last number ends
    for number, circuit in enumerate(board.circuits):
        at = left + 4 + number * gap
        _tooth(drawing, circuit, at, y)
        half = text_width(circuit.designation, _SMALL) / 2
        if circuit.mark and at - half > written:
            written = at + half + 2
            marks.text(
                drawing, at, y - _TOOTH - 2 * _MARK - 8, circuit.designation, size=_SMALL, anchor="middle"
            )


def _tooth(drawing: Drawing, circuit: CircuitDrawn, x: float, y: float) -> None:
    end = y - _TOOTH / (2 if circuit.is_spare else 1)
    marks.line(drawing, x, y, x, end, colour=FAINT if circuit.is_spare else INK)
    if circuit.mark:
        _mark(drawing, circuit.mark, x, end - _MARK)
        if not circuit.on_label:
            _unlabelled(drawing, x, end - _MARK)


def _mark(drawing: Drawing, mark: Mark, x: float, y: float) -> None:
    """A square, a disc, a ring, or a question mark: told apart by shape."""
    if mark is Mark.SUSPECTED:
        marks.text(drawing, x, y - 3.2, "?", anchor="middle")
    elif mark is Mark.HIDDEN:
        drawing.add(Rect(x - _MARK, y - _MARK, 2 * _MARK, 2 * _MARK, fillColor=INK, strokeColor=None))
    else:
        filled = INK if mark is Mark.SEEN else None
        drawing.add(Circle(x, y, _MARK, fillColor=filled, strokeColor=INK, strokeWidth=marks.STROKE))


def _unlabelled(drawing: Drawing, x: float, y: float) -> None:
    """Brackets at both sides."""
    for side in (-1, 1):
        outer, inner = x + side * (_MARK + 2.6), x + side * (_MARK + 1.2)
        marks.line(drawing, inner, y + 3.4, outer, y + 3.4, outer, y - 3.4, inner, y - 3.4, width=0.7)


def _key(drawing: Drawing, loaded: list[CircuitDrawn]) -> None:
    """What the marks mean, of those that stand in the drawing."""
    drawn = {circuit.mark for circuit in loaded}
    x, y = _TRUNK, 5.0
    for mark, said in _KEY_WORDS.items():
        if mark in drawn:
            _mark(drawing, mark, x, y)
            marks.text(drawing, x + 7, y - 2.3, said, size=_SMALL)
            x += 7 + text_width(said, _SMALL) + 16
    if not all(circuit.on_label for circuit in loaded):
        _unlabelled(drawing, x, y)
        marks.text(drawing, x + 9, y - 2.3, _NOT_ON_LABEL, size=_SMALL)


def _box_width(board: BoardDrawn) -> float:
    return max(24.0, text_width(printable(board.designation), marks.SIZE) + 8)
