"""The visit pack on paper, to be written on with a pen and read in black and white: what is known of the
place, what is to be agreed and signed, the before-you-test sheets, and the schedule of test results with room
for each reading below the last one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from io import BytesIO

import pikepdf
from reportlab.lib.colors import Color

from inspections.columns import RESULTS, Column, Kind
from reports.pdf.before_test import before_test_pdf
from reports.pdf.blocks import NOTE, facts_block, heading, opening
from reports.pdf.canvas import Canvas
from reports.pdf.page import (
    HAIR,
    INK,
    LANDSCAPE,
    LEADING,
    PORTRAIT,
    SMALL,
    THIN,
    Frame,
    Piece,
    Placed,
    Section,
    compose,
    space,
)
from reports.pdf.table import column_edges, table
from reports.pdf.text import printable, text_width, wrap
from reports.report.blocks import BODY, QUIET, STRONG, between, entries, part, text_width_beside
from reports.sheets.sheet import Sheet
from reports.visit_pack import BoardPages, CircuitRow, StillOpen, ToAgree, VisitPack

_LAST = Color(0.42, 0.42, 0.45)  # the last readings; dark enough to be read on any printer
_TEXT_SIZE, _LAST_SIZE = 7.0, 6.5
_ROW = 23.0  # height of a row: a last reading with room to write below it
_PAD = 2.2

_CIRCUIT = (
    Column("designation", "No.", Kind.TEXT, "Circuit", "", width_mm=13),
    Column("description", "Description", Kind.TEXT, "Circuit", "", width_mm=41),
    Column("protection", "Device", Kind.TEXT, "Circuit", "", width_mm=25),
)
_COLUMNS = (*_CIRCUIT, *(column for column in RESULTS if column.name != "instrument_group"))
_RULINGS = ("kept", "changed", "lifted")


def visit_pack_pdf(pack: VisitPack) -> bytes:
    """The pack as a PDF. The same pack gives the same bytes."""
    upright = Frame(
        title="Visit pack",
        identity=f"{pack.installation} · {pack.visit}",
        cautions=(" ".join(pack.cautions),),
        made_by=f"{pack.firm}, with Stillacross",
        author=pack.firm,
        notice=pack.notice,
        size=PORTRAIT,
    )
    lying = replace(upright, size=LANDSCAPE)
    first = compose(
        upright,
        (
            Section(upright.title, opening(upright, "To take along and to write on", pack.facts)),
            _open_ones(pack.still_open, upright),
            _to_agree(pack.to_agree, upright),
            *(_board(board, pack, lying) for board in pack.boards),
        ),
    )
    return _with_sheets(first, pack)


def _with_sheets(first: bytes, pack: VisitPack) -> bytes:
    """The before-you-test sheets behind the pages, each counted for itself: each goes to its board."""
    out = BytesIO()
    with pikepdf.open(BytesIO(first)) as book:
        with book.open_outline() as outline:
            for sheet in pack.sheets:
                start = len(book.pages)
                pdf = before_test_pdf(sheet, firm=pack.firm, notice=pack.notice)
                with pikepdf.open(BytesIO(pdf)) as pages:
                    book.pages.extend(pages.pages)
                outline.root.append(pikepdf.OutlineItem(f"Before you test {sheet.board}", start))
        book.save(out, deterministic_id=True)
    return out.getvalue()


def _open_ones(found: Sequence[StillOpen], frame: Frame) -> Section:
    if not found:
        return part("Still open", BODY.pieces("No observation is open.", text_width_beside(frame)), frame)
    rows = [(one.code, f"{_at(one)}{one.text} (seen {one.seen_on:%-d %b %Y})") for one in found]
    return part("Still open", entries(rows, text_width_beside(frame), indent=24, strong_mark=True), frame)


def _at(observation: StillOpen) -> str:
    return f"{observation.where}: " if observation.where else ""


def _to_agree(limitations: Sequence[ToAgree], frame: Frame) -> Section:
    width = text_width_beside(frame)
    pieces: list[Piece] = []
    for one in limitations:
        pieces += STRONG.pieces(f"{one.tests} – {one.where}", width, keep=True)
        pieces += BODY.pieces(one.reason, width, keep=True)
        pieces += QUIET.pieces(one.stood, width, keep=True)
        pieces += (Piece(15, _draw_ruling, width), between(7))
    if not limitations:
        pieces += BODY.pieces("No limitation stands from earlier visits.", width)
    pieces += (
        space(4),
        *BODY.pieces("Other limitations agreed before the work begins:", width),
        *(Piece(19, _draw_write_line, width) for _ in range(4)),
        space(16, keep=True),
        Piece(24, _draw_signature, ("Agreed by (name)", width)),
        space(14, keep=True),
        Piece(24, _draw_signature, ("For the firm (name)", width)),
    )
    return part("Limitations to agree", pieces, frame)


def _draw_ruling(canvas: Canvas, left: float, placed: Placed) -> None:
    """Boxes to tick: kept, changed or lifted."""
    canvas.ink(INK)
    canvas.setLineWidth(THIN)
    for top, _ in placed:
        x = left
        for word in _RULINGS:
            canvas.rect(x, top - 13, 9, 9)
            canvas.write(x + 13, top - 12, word, 8)
            x += 13 + text_width(word, 8) + 18


def _draw_write_line(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, width in placed:
        canvas.rule(left, left + width, top - 17, HAIR, INK)


def _draw_signature(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, (role, width) in placed:
        for label, start, share in ((role, 0, 0.38), ("Signature", 0.41, 0.36), ("On", 0.8, 0.2)):
            x = left + start * width
            canvas.rule(x, x + share * width, top - 12, THIN, INK)
            canvas.ink(INK)
            canvas.write(x, top - 12 - SMALL - 2, label, SMALL)


@dataclass(frozen=True, slots=True)
class _Written:
    """One row: its texts at the left, and by column the last reading. height: points."""

    texts: tuple[tuple[str, ...], ...]
    last: tuple[tuple[str, ...], ...]
    is_spare: bool
    height: float


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """The rows of a board, drawn with a box for each reading."""

    edges: tuple[float, ...]

    def piece(self, row: CircuitRow, head: tuple[Piece, ...]) -> Piece:
        widths = [right - left - 2 * _PAD for left, right in zip(self.edges, self.edges[1:], strict=False)]
        texts = tuple(
            wrap(printable(text), _TEXT_SIZE, width)
            for text, width in zip((row.designation, row.description, row.protection), widths, strict=False)
        )
        names = [column.name for column in _COLUMNS[len(_CIRCUIT) :]]
        said = {**row.last, "remarks": row.remark}
        last = tuple(
            wrap(printable(said.get(name, "")), _LAST_SIZE, width)
            for name, width in zip(names, widths[len(_CIRCUIT) :], strict=True)
        )
        to_write = 0 if row.is_spare else 1
        most = max(*map(len, texts), *(len(lines) + to_write for lines in last))
        height = max(_ROW, most * _TEXT_SIZE * LEADING + 5)
        return Piece(height, self.draw, _Written(texts, last, row.is_spare, height), head=head)

    def draw(self, canvas: Canvas, left: float, placed: Placed) -> None:
        right = left + self.edges[-1]
        for top, row in placed:
            bottom = top - row.height
            canvas.ink(INK)
            self._put(canvas, left, top, row.texts, 0, _TEXT_SIZE)
            canvas.ink(_LAST)
            self._put(canvas, left, top, row.last, len(_CIRCUIT), _LAST_SIZE)
            canvas.setStrokeColor(INK)
            canvas.setLineWidth(HAIR)
            canvas.lines([(left + x, top, left + x, bottom) for x in self.edges[len(_CIRCUIT) :]])
            canvas.rule(left, right, bottom, HAIR, INK)
            if row.is_spare:
                middle = (top + bottom) / 2
                canvas.rule(left + self.edges[len(_CIRCUIT)] + 4, right - 4, middle, HAIR, INK)

    def _put(
        self, canvas: Canvas, left: float, top: float, cells: Sequence[Sequence[str]], first: int, size: float
    ) -> None:
        for number, lines in enumerate(cells, start=first):
            y = top - size - 1.5
            for line in lines:
                canvas.write(left + self.edges[number] + _PAD, y, line, size)
                y -= size * LEADING


def _board(board: BoardPages, pack: VisitPack, frame: Frame) -> Section:
    width = frame.width
    head, *_ = table(Sheet(board.title, _COLUMNS, ()), width)
    rows = _Rows(column_edges(_COLUMNS, width))
    last = f"In grey: last entered, by {pack.last_on:%-d %b %Y}." if pack.last_on else "Nothing is known yet."
    pieces = (
        *heading(board.title, width),
        *facts_block(board.facts, width),
        *NOTE.pieces(
            f"{last} Write this visit’s reading below it; LIM needs its limitation.", width, keep=True
        ),
        space(3, keep=True),
        head,
        *(rows.piece(circuit, (head,)) for circuit in board.circuits),
    )
    return Section(board.title, pieces, frame=frame)
