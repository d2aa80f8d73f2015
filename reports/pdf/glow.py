"""A glow worksheet on one portrait page, for the job file."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from remedies import cautions
from remedies.glow.further import Result
from remedies.glow.services import sheet_of
from remedies.glow.sheet import GlowSheet
from remedies.glow.table import Remedy
from remedies.glow.values import Value
from remedies.models import GlowWorksheet
from reports.drawings.glow_circuit import glow_circuit
from reports.drawings.glow_plot import glow_plot
from reports.pdf.blocks import HEADING, NOTE, opening
from reports.pdf.canvas import Canvas
from reports.pdf.drawing import drawings_piece, scale_for_two
from reports.pdf.page import (
    FAINT,
    HAIR,
    INK,
    LEADING,
    MARGIN,
    PORTRAIT,
    RULE,
    SMALL,
    Frame,
    Piece,
    Placed,
    Section,
    compose,
    space,
)
from reports.pdf.text import printable, wrap
from reports.sheets.sheet import Fact

_LINE = SMALL * LEADING
_CAUSES_NAMED = 4  # the likeliest; the rest weigh little
_CAUTIONS = (cautions.COMPETENT, cautions.ISOLATE, cautions.NO_PROOF, cautions.DISCHARGE)


def write_glow_pdf(worksheet: GlowWorksheet) -> bytes:
    """The worksheet as it stands. The same worksheet gives the same bytes."""
    place = worksheet.circuit.board.installation
    frame = Frame(
        title="Glow worksheet",
        identity=f"{place.name}, circuit {worksheet.circuit} {worksheet.circuit.description}".strip(),
        cautions=(" ".join(_CAUTIONS),),
        made_by=f"{place.client.firm} · Stillacross",
        author=str(place.client.firm),
        notice=place.client.firm.notice,
        size=PORTRAIT,
    )
    sheet = sheet_of(worksheet)
    room = frame.size[1] - MARGIN - frame.body_bottom
    for detail in _DETAILS:
        pieces = tuple(_pieces(worksheet, sheet, frame, detail))
        if sum(piece.height for piece in pieces) <= room:
            break
    return compose(frame, [Section(frame.title, pieces)])


@dataclass(frozen=True)
class _Detail:
    """How much is told, so that one page holds it. every_reason: also of remedies neither chosen nor refused.
    answers: each with its question. drawing: width of a drawing as a share of half the page. rows: the most
    parts listed, the best first and the chosen one always; the rest are counted."""

    every_reason: bool = False
    answers: bool = True
    drawing: float = 1.0
    rows: int = 40


_DETAILS = (
    _Detail(every_reason=True),
    _Detail(),
    _Detail(drawing=0.8),
    _Detail(drawing=0.65),
    _Detail(drawing=0.65, rows=8),
    _Detail(drawing=0.6, rows=4),
    _Detail(drawing=0.6, rows=4, answers=False),
)


def _pieces(worksheet: GlowWorksheet, sheet: GlowSheet, frame: Frame, detail: _Detail) -> Iterator[Piece]:
    width = frame.width
    yield from opening(frame, "", tuple(_facts(worksheet, sheet)))
    yield from _heading("Finding the cause", width)
    if detail.answers:
        for asked in sheet.asked:
            answer = _sentence(asked.answer or "cannot be told here")
            yield from NOTE.pieces(f"{asked.text} {answer}", width)
    standing = ", ".join(f"{one.name} {one.percent} %" for one in sheet.beliefs[:_CAUSES_NAMED])
    yield from NOTE.pieces(f"The answers weigh: {standing}. Never certain; {sheet.weights_basis}.", width)
    yield from _heading("Readings", width)
    yield from _readings(sheet, width)
    yield from _heading("The case, and lamp voltage against the value of the remedy", width)
    yield _drawings(sheet, width, detail.drawing)
    yield from _heading("Remedies compared, best first", width)
    yield from (line for reason in sheet.no_part for line in NOTE.pieces(reason, width))
    if sheet.basis:
        yield from NOTE.pieces(sheet.basis, width)
    yield from _table(sheet, width, detail)
    for result in (sheet.control, sheet.dimmer, sheet.device):
        if result:
            yield from NOTE.pieces(_in_a_line(result), width)


def _facts(worksheet: GlowWorksheet, sheet: GlowSheet) -> Iterator[Fact]:
    yield Fact("Opened", f"{worksheet.opened_on:%-d %b %Y}, {worksheet.opened_by.name}")
    yield Fact("Supply", sheet.circuit.supply)
    yield Fact("Complaint", worksheet.complaint)
    yield Fact("Cause found", _sentence(worksheet.get_cause_display()).rstrip("."))
    if worksheet.conclusion:
        yield Fact("Why", worksheet.conclusion)
    if worksheet.ended_on and worksheet.ended_by:
        yield Fact(
            "What was done",
            f"{worksheet.outcome}. {worksheet.ended_on:%-d %b %Y}, {worksheet.ended_by.name}",
        )
    elif sheet.chosen:
        yield Fact("Chosen, not fitted yet", sheet.chosen.title)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _heading(text: str, width: float) -> tuple[Piece, ...]:
    return (space(5), *HEADING.pieces(text, width), space(1))


def _readings(sheet: GlowSheet, width: float) -> Iterator[Piece]:
    taken = _sentence("; ".join(sheet.circuit.meters) or "none taken")
    yield from NOTE.pieces(f"{taken} {sheet.source.leak or sheet.source.text}", width)
    values = "; ".join(_in_words(value) for value in sheet.source.values)
    if values:
        yield from NOTE.pieces(_sentence(values), width)


def _in_words(value: Value) -> str:
    return f"{value.label[:1].lower()}{value.label[1:]} {value.value}" + (
        f" ({value.span})" if value.span else ""
    )


def _in_a_line(result: Result) -> str:
    values = "; ".join(_in_words(value) for value in result.values)
    return " ".join((f"{result.heading}: {values}.", *result.notes))


def _drawings(sheet: GlowSheet, width: float, share: float) -> Piece:
    drawings = [glow_circuit(sheet.circuit), *([glow_plot(sheet.plot)] if sheet.plot else [])]
    return drawings_piece(drawings, scale_for_two(drawings[0], width) * share)


@dataclass(frozen=True)
class _Column:
    """A column of the table: heading, share of the width, and the lines of its cells."""

    heading: str
    share: float
    texts: Callable[[Remedy], Sequence[str]]


_COLUMNS = (
    _Column("Remedy", 28, lambda row: (row.brief, row.state)),
    _Column("Lamp when off", 19, lambda row: (row.lamp, row.lamp_range)),
    _Column("Margin", 9, lambda row: (row.margin,)),
    _Column("On: current", 12, lambda row: (row.current, row.current_highest)),
    _Column("Power", 11, lambda row: (row.power, row.power_highest)),
    _Column("A year", 12, lambda row: (row.energy, row.cost and f"cost {row.cost}")),
    _Column("Rating", 10, lambda row: (row.share,)),
    _Column("Case", 14, lambda row: (row.case, row.case_limit)),
    _Column("Crest", 9, lambda row: (row.peak,)),
    _Column("< 34 V in", 14, lambda row: (row.discharge,)),
    _Column("To earth", 10, lambda row: (row.earth,)),
    _Column("Test 250, 500 V", 21, lambda row: tuple(dict.fromkeys((row.at_250, row.at_500)))),
    _Column("Before it", 15, lambda row: (row.before,)),
)
_WHOLE = sum(column.share for column in _COLUMNS)


def _table(sheet: GlowSheet, width: float, detail: _Detail) -> Iterator[Piece]:
    if not sheet.remedies:
        return
    if without := [row.title for row in sheet.remedies if not row.key]:
        yield from NOTE.pieces(f"First choice, nothing stays across: {'; '.join(without)}.", width)
    parts = [row for row in sheet.remedies if row.key]
    listed = [row for n, row in enumerate(parts) if n < detail.rows or row == sheet.chosen]
    if listed:
        yield _row([[column.heading] for column in _COLUMNS], width, FAINT)
    for row in listed:
        yield _row([column.texts(row) for column in _COLUMNS], width, INK)
        if told := _told(row, sheet, detail):
            yield from NOTE.pieces(told, width)
    if more := len(parts) - len(listed):
        yield from NOTE.pieces(f"{more} more were compared; they stand in the record.", width)


def _told(row: Remedy, sheet: GlowSheet, detail: _Detail) -> str:
    """What is said under a row: all of the one chosen, the working of a refusal, the rest where it fits."""
    if row == sheet.chosen:
        return f"Chosen. {' '.join(row.reasons)} When it fails: {row.failure[:1].lower()}{row.failure[1:]}"
    if row.refused:
        return f"Refused: {row.reasons[0]}"
    return " ".join(row.reasons) if detail.every_reason else ""


def _row(cells: Sequence[Sequence[str]], width: float, colour) -> Piece:
    edges = _edges(width)
    wrapped = []
    for number, texts in enumerate(cells):
        room = edges[number + 1] - edges[number] - 2
        wrapped.append(tuple(line for one in texts if one for line in wrap(printable(one), SMALL, room)))
    height = max(len(lines) for lines in wrapped) * _LINE + 4
    return Piece(height, _draw_rows, (tuple(wrapped), edges, colour))


def _edges(width: float) -> list[float]:
    edges = [0.0]
    for column in _COLUMNS:
        edges.append(edges[-1] + column.share / _WHOLE * width)
    return edges


def _draw_rows(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, (cells, edges, colour) in placed:
        canvas.rule(left, left + edges[-1], top - 1, HAIR, RULE)
        canvas.ink(colour)
        for number, lines in enumerate(cells):
            for below, line in enumerate(lines):
                y = top - 2 - SMALL - below * _LINE
                canvas.write(left + edges[number], y, line, SMALL, strong=number == 0 and below == 0)
