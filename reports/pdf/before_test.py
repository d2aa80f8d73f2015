"""The before-you-test sheet of a board on paper: one A4 page where its loads fit, read at arm's length in
black and white, ticked off with a pen.

What is read at the board stands in type of 10 points and more; what is read beforehand is smaller.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest

from remedies import cautions
from remedies.before_test import BeforeTest, CircuitToTest, LoadToDisconnect
from reports.pdf.blocks import Lines
from reports.pdf.canvas import Canvas
from reports.pdf.page import (
    FIRM,
    HAIR,
    INK,
    PORTRAIT,
    Frame,
    Piece,
    Placed,
    Section,
    compose,
    space,
)
from reports.pdf.text import printable, wrap

AT_ARMS_LENGTH, BEFOREHAND = 10.0, 7.5  # type sizes, points
_TITLE = Lines(15, strong=True)
_STRONG = Lines(AT_ARMS_LENGTH, strong=True)
_PLAIN = Lines(AT_ARMS_LENGTH)
_SMALL = Lines(BEFOREHAND)
_LEADING = 1.16  # closer than running text: one page matters more
_BOX = 13.0  # side of a tick box, points
_GUTTER = 12.0


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of a cell: its text, size and weight."""

    text: str
    size: float = AT_ARMS_LENGTH
    strong: bool = False

    @property
    def height(self) -> float:
        return self.size * _LEADING


@dataclass(frozen=True, slots=True)
class _Cell:
    """What stands at one place of a row: lines, or a tick box."""

    left: float
    lines: tuple[_Line, ...] = ()
    is_box: bool = False

    @property
    def height(self) -> float:
        return _BOX if self.is_box else sum(line.height for line in self.lines)


def before_test_pdf(sheet: BeforeTest, *, firm: str, notice: str = "") -> bytes:
    """The sheet as a PDF. The same sheet gives the same bytes."""
    day = f"{sheet.prepared_on:%-d %b %Y}"
    frame = Frame(
        title=f"Before you test {sheet.board}",
        identity=f"{sheet.installation}, as known on {day}",
        made_by=f"{firm}, {day}. What is not known here may still be there.",
        author=firm,
        notice=notice,
        size=PORTRAIT,
    )
    pieces = (*_opening(sheet, frame), *_lists(sheet, frame.width), *_circuits(sheet, frame.width))
    return compose(frame, [Section(frame.title, pieces)])


# --- the top: order of work, cautions, what holds for the whole board ---------------------------------------


def _opening(sheet: BeforeTest, frame: Frame) -> Iterable[Piece]:
    width = frame.width
    where = f", {sheet.location}" if sheet.location else ""
    yield from _TITLE.pieces(f"{frame.title}{where}", width)
    yield from _PLAIN.pieces(f"{frame.identity}. {_minutes(sheet)}", width)
    for circuit, what in sheet.not_put_back:
        yield from _STRONG.pieces(f"NOT PUT BACK since the last test: {circuit}, {what}", width)
    yield Piece(7, _draw_firm_rule, width)
    numbered = [f"{number}. {step}" for number, step in enumerate(sheet.order, start=1)]
    warnings = [f"– {caution}" for caution in sheet.cautions]
    yield from _side_by_side(
        (("Order of work", numbered, BEFOREHAND), ("Cautions", warnings, BEFOREHAND)), width
    )
    yield space(3)


def _minutes(sheet: BeforeTest) -> str:
    if not sheet.has_loads:
        return ""
    told = f"To disconnect everything: {sheet.minutes} minutes"
    unknown = sheet.unknown_minutes
    loads = "load whose time is" if unknown == 1 else "loads whose time is"
    return f"{told}, and {unknown} {loads} not recorded." if unknown else f"{told}."


_List = tuple[str, Sequence[str], float]
"""A heading, its entries, and their type size."""


def _lists(sheet: BeforeTest, width: float) -> Iterable[Piece]:
    """What holds for several circuits, two lists side by side."""
    untested = [f"{one.where}: {one.tests}. {one.reason}{_agreed(one.agreed)}" for one in sheet.untested]
    told = [
        ("250 V, not 500 V", _told(sheet.at_250), AT_ARMS_LENGTH),
        ("Discharge before touching", _told(sheet.to_discharge), AT_ARMS_LENGTH),
        ("Suspected, look for it", _told(sheet.suspected), AT_ARMS_LENGTH),
        ("Left untested last time", untested, BEFOREHAND),
    ]
    lists = [one for one in told if one[1]]
    for pair in zip_longest(lists[::2], lists[1::2]):
        yield from _side_by_side([one for one in pair if one], width)
        yield space(3)


def _told(pairs: Iterable[tuple[str, str]]) -> list[str]:
    return [f"{circuit}: {what}" for circuit, what in pairs]


def _agreed(words: str) -> str:
    return f" ({words})" if words else ""


def _side_by_side(lists: Sequence[_List], width: float) -> Iterable[Piece]:
    """One list over the whole width, or two beside each other, line by line, so that they run over pages."""
    widths = min(_splits(lists, width), key=lambda widths: _height(lists, widths))
    columns = [list(_list_lines(one, room)) for one, room in zip(lists, widths, strict=True)]
    for row in zip_longest(*columns):
        lefts = (0.0, widths[0] + _GUTTER)
        cells = tuple(_Cell(left, (word,)) for left, word in zip(lefts, row, strict=False) if word)
        yield Piece(max(cell.height for cell in cells), _draw_cells, cells, keep=row[0] is columns[0][0])


def _splits(lists: Sequence[_List], width: float) -> Iterable[tuple[float, ...]]:
    """The widths that one or two lists may have."""
    if len(lists) == 1:
        return [(width,)]
    room = width - _GUTTER
    return [(room * share / 100, room * (100 - share) / 100) for share in range(35, 66, 2)]


def _height(lists: Sequence[_List], widths: Sequence[float]) -> float:
    return max(
        sum(word.height for word in _list_lines(one, room)) for one, room in zip(lists, widths, strict=True)
    )


def _list_lines(one: _List, width: float) -> Iterable[_Line]:
    heading, entries, size = one
    yield _Line(heading, AT_ARMS_LENGTH, strong=True)
    for entry in entries:
        first, *rest = wrap(printable(entry), size, width)
        yield _Line(first, size)
        yield from (_Line(line, size) for line in rest)


# --- circuit by circuit -------------------------------------------------------------------------------------

_OUT, _WHAT, _READS, _DO, _BACK = 0.0, 20.0, 0.41, 0.63, 22.0
_HEADINGS = ("Out", "Load, place, how to get at it", "Only this left in (MΩ)", "What to do", "Back")


def _circuits(sheet: BeforeTest, width: float) -> Iterable[Piece]:
    lefts = _lefts(width)
    cells = tuple(
        _Cell(left, (_Line(text, BEFOREHAND),)) for left, text in zip(lefts, _HEADINGS, strict=True)
    )
    head = Piece(BEFOREHAND * _LEADING, _draw_cells, cells, keep=True)
    if sheet.has_loads:
        yield head
    for circuit in sheet.circuits:
        yield from _circuit(circuit, width, (head,))
    if not sheet.circuits:
        yield from _PLAIN.pieces(
            "Nothing is known to be across the circuits of this board. That does not prove there is nothing.",
            width,
        )
    if sheet.quiet:
        yield space(4)
        yield from _SMALL.pieces(f"Nothing known of circuits {', '.join(sheet.quiet)}.", width)


def _circuit(circuit: CircuitToTest, width: float, head: tuple[Piece, ...]) -> Iterable[Piece]:
    volts = f"{circuit.test_v} V" + (f", or {circuit.lower_v} V" if circuit.lower_v else "")
    what = f"{circuit.designation} {circuit.description}: test at {volts}"
    known = " ".join(_known(circuit))
    if not circuit.loads:
        yield Piece(3, _draw_hair_rule, width, keep=True, head=head)
        *lines, last = _PLAIN.pieces(f"{what}. {known}", width)
        yield from (replace(line, keep=True) for line in lines)
        yield last
        return
    yield Piece(5, _draw_firm_rule, width, keep=True, head=head)
    for style, text in ((_STRONG, what), (_PLAIN, known)):
        yield from (replace(line, keep=True) for line in style.pieces(text, width))
    for load in circuit.loads:
        yield from _load(load, width, head)


def _known(circuit: CircuitToTest) -> Iterable[str]:
    """What is known of the whole circuit, a sentence each."""
    if circuit.expected:
        yield f"All left in: {circuit.all_show}."
    if circuit.last:
        yield f"Last: {circuit.last}."
    if circuit.without_full:
        yield circuit.without_full


def _load(load: LoadToDisconnect, width: float, head: tuple[Piece, ...]) -> Iterable[Piece]:
    what = f"{'Suspected: ' if load.is_suspected else ''}{load.what}"
    access = f". {load.access}" if load.access else ". How to get at it is not recorded"
    minutes = "" if load.minutes is None else f", {load.minutes} minutes"
    to_earth = [_Line("live-earth")] if load.test != "live-live" else []
    shows = [_Line(f"{volts} V: {text}") for volts, text in load.would_read.items()]
    # That it holds its charge is said above, for all that do.
    warnings = " ".join(caution for caution in load.cautions if caution != cautions.HOLDS_CHARGE)
    yield Piece(3, _draw_hair_rule, width, keep=True, head=head)
    row = _row(
        width,
        () if load.is_suspected else None,
        (_Line(what, strong=True), _Line(f"{load.place}{access}{minutes}.")),
        (*to_earth, *shows),
        (_Line(load.what_to_do, strong=True), _Line(load.reason, BEFOREHAND)),
        () if load.is_suspected else None,
    )
    yield replace(row, keep=bool(warnings))
    if warnings:
        yield from Lines(AT_ARMS_LENGTH, strong=True, indent=_WHAT).pieces(warnings, width)


def _lefts(width: float) -> tuple[float, ...]:
    """The left edge of each column of the table of loads."""
    return _OUT, _WHAT, width * _READS, width * _DO, width - _BACK


def _row(width: float, *columns: Sequence[_Line] | None) -> Piece:
    """A row of the table of loads; a column of None is a tick box."""
    lefts = _lefts(width)
    cells = []
    for number, (left, words) in enumerate(zip(lefts, columns, strict=True)):
        room = (lefts[number + 1] if number + 1 < len(lefts) else width) - left - 6
        cells.append(_Cell(left, is_box=True) if words is None else _Cell(left, _wrapped(words, room)))
    return Piece(max(cell.height for cell in cells) + 1, _draw_cells, tuple(cells))


def _wrapped(words: Sequence[_Line], width: float) -> tuple[_Line, ...]:
    return tuple(
        _Line(line, word.size, word.strong)
        for word in words
        for line in wrap(printable(word.text), word.size, width)
    )


# --- ink ----------------------------------------------------------------------------------------------------


def _draw_cells(canvas: Canvas, left: float, placed: Placed) -> None:
    canvas.ink(INK)
    for top, cells in placed:
        for cell in cells:
            if cell.is_box:
                canvas.setLineWidth(FIRM)
                canvas.rect(left + cell.left, top - _BOX, _BOX, _BOX)
            y = top
            for line in cell.lines:
                canvas.write(left + cell.left, y - line.size, line.text, line.size, strong=line.strong)
                y -= line.height


def _draw_firm_rule(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, width in placed:
        canvas.rule(left, left + width, top - 2.5, FIRM, INK)


def _draw_hair_rule(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, width in placed:
        canvas.rule(left, left + width, top - 1, HAIR, INK)
