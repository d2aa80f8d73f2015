"""A record to its report."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from io import BytesIO

import pikepdf

from reports import words
from reports.content import canonical_json, sha256_of
from reports.pdf.page import LANDSCAPE, PORTRAIT, Frame, Section, compose, height_of
from reports.pdf.schedule import sheet_pieces
from reports.pdf.tags import Structure
from reports.pdf.text import REPLACED, REPLACEMENT, printable
from reports.register import load_register_sheet
from reports.report.archive import describe
from reports.report.attach import attach_record, saved
from reports.report.blocks import between
from reports.report.closing import closing
from reports.report.drawn import drawn
from reports.report.extent import extent
from reports.report.front import front
from reports.report.observations import observations
from reports.report.parts_found import parts_found
from reports.report.supply import boards, supply
from reports.report.variants import variant_of
from reports.report.visual import visual
from reports.schedules import details_sheets, results_sheets
from reports.sheets.sheet import NOTATION
from reports.words import Content

_CAUTIONS = (
    "For competent persons only. Local codes and licensed practice come first. The cautions stand in full at "
    "the end.",
)


def draw_report(content: Content, photos: Mapping[str, bytes] | None = None) -> bytes:
    """The report of a record as a PDF that carries the record.

    photos: bytes by SHA-256, as ``gather`` and an issued record keep them; one that is missing is left out.
    The same content and photos give the same bytes.
    """
    record = canonical_json(content)
    variant = variant_of(content)
    upright = _frame(content, record)
    lying = replace(upright, size=LANDSCAPE, cautions=_CAUTIONS, key=(*NOTATION, *upright.key))
    sections = (
        *front(content, variant, upright),
        *extent(content, variant, upright),
        supply(content, upright),
        observations(content, photos or {}, upright),
        boards(content, upright),
        *visual(content, upright),
        *_schedules(content, lying),
        drawn(content, upright),
        *parts_found(content, photos or {}, upright),
        *closing(content, variant, sha256_of(record), upright),
    )
    structure = Structure()
    with pikepdf.open(BytesIO(compose(upright, sections, structure))) as book:
        attach_record(book, record)
        describe(book, content["issue"]["issued_at"] if content["issue"] else "")
        structure.announce(book)
        return structure.added_to(saved(book))


def _frame(content: Content, record: bytes) -> Frame:
    return Frame(
        title=variant_of(content).title if content["issue"] else f"{variant_of(content).title}, draft",
        identity=_identity(content),
        key=(REPLACED,) if REPLACEMENT in printable("".join(sorted(set(record.decode())))) else (),
        made_by=words.made_by(content)
        if content["issue"]
        else f"Draft, not issued. {words.made_by(content)}",
        author=content["firm"]["name"],
        notice=words.notice(content),
        size=PORTRAIT,
    )


def _identity(content: Content) -> str:
    inspection = content["inspection"]
    days = words.days(inspection["started_on"], inspection["finished_on"])
    return f"{words.number(content)} · {content['installation']['name']} · {days}"


def _schedules(content: Content, frame: Frame) -> Iterator[Section]:
    """A page a sheet, or several short ones on one; the register begins where they end."""
    register = load_register_sheet(content)
    for sheet in (*details_sheets(content), *results_sheets(content), register):
        pieces = (replace(between(14), keep=True), *sheet_pieces(sheet, frame))
        room = 0 if sheet is register else height_of(pieces)
        yield Section(sheet.title, pieces, new_page=False, frame=frame, room=room)
