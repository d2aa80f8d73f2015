"""The remedial report on paper: what was put right, by whom, when, and what shows it; what stays open."""

from collections.abc import Iterable

from inspections.columns import Column
from reports.pdf.blocks import NOTE, opening
from reports.pdf.page import PORTRAIT, Frame, Piece, Section, compose
from reports.pdf.table import table
from reports.remedial import Answered, Remedial
from reports.report.blocks import BODY, LEAD, across, paragraphs
from reports.sheets.sheet import Cell, Sheet
from reports.words import counted

_SEEN = (
    Column("number", "No.", width_mm=9),
    Column("code", "Code", width_mm=11),
    Column("where", "Where", width_mm=32),
    Column("text", "What was seen", width_mm=56),
)
_DONE = (
    *_SEEN,
    Column("on", "Put right", width_mm=21),
    Column("by", "By", width_mm=24),
    Column("evidence", "What shows it", width_mm=40),
)
_OPEN = (
    *_SEEN[:-1],
    Column("text", "What was seen", width_mm=110),
    Column("regulation", "Regulation", width_mm=24),
)
_NUMBERS = "Numbers and codes are those of the inspection; what is put right keeps its code."


def remedial_pdf(told: Remedial) -> bytes:
    """The remedial report as a PDF. The same report gives the same bytes."""
    frame = Frame(
        title="Remedial report",
        identity=f"{told.installation} · {told.visit}",
        cautions=told.cautions,
        made_by=f"{told.firm}, with Stillacross",
        author=told.firm,
        notice=told.notice,
        size=PORTRAIT,
    )
    first = (
        *opening(frame, "", told.facts),
        *paragraphs(_in_short(told), LEAD, frame.width),
        *NOTE.pieces(_NUMBERS, frame.width),
    )
    sections = (
        Section(frame.title, first),
        across("Put right", _done(told.put_right, frame.width), frame),
        across("Still open", _open(told.still_open, frame.width), frame),
    )
    return compose(frame, sections)


def _in_short(told: Remedial) -> str:
    done, left = len(told.put_right), len(told.still_open)
    if not told.observations:
        return "The inspection made no observation, so nothing was to be put right."
    return (
        f"{counted(done, 'observation').capitalize()} put right, {counted(left, 'observation')} still open."
    )


def _done(found: Iterable[Answered], width: float) -> tuple[Piece, ...]:
    rows = tuple(
        (str(one.number), one.code, one.where, one.text, f"{one.on:%-d %b %Y}", one.by, one.evidence or None)
        for one in found
    )
    return _table("Put right", _DONE, rows, "Nothing is recorded as put right yet.", width)


def _open(found: Iterable[Answered], width: float) -> tuple[Piece, ...]:
    rows = tuple((str(one.number), one.code, one.where, one.text, one.regulation) for one in found)
    return _table("Still open", _OPEN, rows, "Nothing stays open.", width)


def _table(
    title: str, columns: tuple[Column, ...], rows: tuple[tuple[Cell, ...], ...], nothing: str, width: float
) -> tuple[Piece, ...]:
    if not rows:
        return BODY.pieces(nothing, width)
    return table(Sheet(title, columns, rows), width)
