"""Schedules as a PDF: landscape A4, each sheet on a page of its own."""

from collections.abc import Iterator

from reports.drawings.figure import draw
from reports.pdf.blocks import NOTE, facts_block, heading, opening
from reports.pdf.drawing import drawings_piece
from reports.pdf.page import LANDSCAPE, Frame, Piece, Section, compose, space
from reports.pdf.table import table
from reports.pdf.text import REPLACED, REPLACEMENT, printable
from reports.sheets.figure import Figure
from reports.sheets.sheet import NOTHING_ON_SHEET, Document, Sheet


def write_pdf(document: Document) -> bytes:
    """The document as a PDF. The same document gives the same bytes; nothing in it is cut off."""
    frame = Frame(
        title=document.title,
        identity=document.identity,
        cautions=document.cautions,
        key=(*document.key, REPLACED) if _has_unprintable(document) else document.key,
        made_by=document.made_by,
        author=document.author,
        notice=document.notice,
        language=document.language,
        size=LANDSCAPE,
    )
    return compose(frame, tuple(_sections(document, frame)))


def _sections(document: Document, frame: Frame) -> Iterator[Section]:
    """The opening, and each sheet on a page of its own; the first follows the opening, and where both are
    called the same that is said once."""
    start = opening(frame, document.subtitle, document.facts)
    sheets = list(document.sheets)
    if sheets and sheets[0].title == document.title:
        start = (*start, *_untitled(sheets.pop(0), frame.width))
    yield Section(document.title, start)
    for sheet in sheets:
        yield Section(sheet.title, sheet_pieces(sheet, frame), new_page=sheet is not document.sheets[0])


def _has_unprintable(document: Document) -> bool:
    return any(REPLACEMENT in printable(text) for text in _texts(document))


def _texts(document: Document) -> Iterator[str]:
    yield from (document.title, document.subtitle, document.identity, document.made_by, *document.cautions)
    yield from (text for fact in (*document.facts, *document.key) for text in (fact.label, fact.value))
    for sheet in document.sheets:
        yield from (sheet.title, *sheet.notes)
        yield from (text for fact in sheet.facts for text in (fact.label, fact.value))
        yield from (cell for row in sheet.rows for cell in row if isinstance(cell, str))


def sheet_pieces(sheet: Sheet, frame: Frame) -> tuple[Piece, ...]:
    """Heading, facts, table and notes of one sheet."""
    return (*heading(sheet.title, frame.width), *_untitled(sheet, frame.width))


def _untitled(sheet: Sheet, width: float) -> tuple[Piece, ...]:
    empty = () if sheet.rows else (space(3), *NOTE.pieces(NOTHING_ON_SHEET, width))
    notes = (line for note in sheet.notes for line in NOTE.pieces(note, width))
    return (
        *facts_block(sheet.facts, width),
        *(_figure(sheet.figure, width) if sheet.figure else ()),
        space(3, keep=True),
        *table(sheet, width),
        *empty,
        space(4),
        *notes,
    )


def _figure(figure: Figure, width: float) -> tuple[Piece, ...]:
    return (space(4), *NOTE.pieces(figure.title, width, keep=True), drawings_piece([draw(figure)], keep=True))
