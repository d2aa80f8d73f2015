"""What stands at the end: instruments, points answered in review, cautions, notes for the reader, and who
declares it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from inspections.columns import Column
from reports import words
from reports.pdf.blocks import NOTE
from reports.pdf.canvas import Canvas
from reports.pdf.page import (
    FAINT,
    HAIR,
    INK,
    LEADING,
    RULE,
    SMALL,
    Frame,
    Piece,
    Placed,
    Section,
    height_of,
    space,
)
from reports.pdf.table import table
from reports.pdf.text import printable, wrap
from reports.report import plainly
from reports.report.blocks import (
    BODY,
    QUIET,
    across,
    definitions,
    entries,
    paragraphs,
    part,
    text_width_beside,
)
from reports.report.variants import Variant
from reports.sheets.sheet import Sheet
from reports.words import Content

_INSTRUMENTS = (
    Column("group", "Mark", width_mm=14),
    Column("measures", "What it measures", width_mm=46),
    Column("serial", "Serial no.", width_mm=30),
    Column("description", "Description", width_mm=50),
    Column("calibrated_until", "Calibrated until", width_mm=50),
)
_POINTS = (
    Column("where", "Where", width_mm=26),
    Column("said", "What the checks said", width_mm=84),
    Column("answer", "Answer", width_mm=80),
)
_NAME_SIZE = 11.0
_DRAWN_HEIGHT = 46.0  # of a signature drawn by hand, points


def closing(content: Content, variant: Variant, sha256: str, frame: Frame) -> Iterator[Section]:
    """The sections at the end. sha256: of the record, printed so that the attached file can be checked."""
    width, beside = frame.width, text_width_beside(frame)
    yield from _points(content, frame)
    yield across("Instruments", _instruments(content, width), frame)
    yield part("Cautions", entries([("–", caution) for caution in content["cautions"]], beside), frame)
    yield part("Notes for the reader", definitions(plainly.FOR_THE_READER, beside), frame)
    declaration = part("Declaration", _declaration(content, variant, beside), frame)
    record = part("The record itself", _record(content, sha256, beside), frame)
    # Together, so that no page holds the last few lines alone.
    yield replace(declaration, room=height_of((*declaration.pieces, *record.pieces)))
    yield record


def _points(content: Content, frame: Frame) -> Iterator[Section]:
    """What the checks said and the reviewer answered."""
    answered = [finding for finding in content["findings"] if finding["answer"]]
    if not answered:
        return
    names = _names(content)
    rows = tuple(
        (
            names[finding["place"]["board"], finding["place"]["circuit"]],
            finding["summary"],
            _answer(finding["answer"]),
        )
        for finding in answered
    )
    yield across("Points answered in review", table(Sheet("Points", _POINTS, rows), frame.width), frame)


def _names(content: Content) -> dict[tuple[int | None, int | None], str]:
    """Boards and circuits by their numbers in the record, as ``DB1`` and ``DB1/3 L2``."""
    names: dict[tuple[int | None, int | None], str] = {(None, None): "The visit"}
    for board in content["boards"]:
        names[board["number"], None] = board["designation"]
        for circuit in board["circuits"]:
            names[board["number"], circuit["number"]] = (
                f"{board['designation']}/{circuit['details']['designation']}"
            )
    return names


def _answer(answer: Content) -> str:
    return f"{answer['text']} ({answer['by']}, {words.day(answer['on'])})"


def _instruments(content: Content, width: float) -> tuple[Piece, ...]:
    rows = tuple(
        (one["group"], one["measures"]["words"], one["serial"], one["description"], _calibration(one))
        for one in content["instruments"]
    )
    explained = content["inspection"]["calibration_explanation"]
    return (
        *table(Sheet("Instruments", _INSTRUMENTS, rows), width),
        *(() if rows else NOTE.pieces("No instruments are named.", width)),
        *((space(4), *paragraphs(explained, BODY, width)) if explained else ()),
    )


def _calibration(instrument: Content) -> str:
    until = words.day(instrument["calibrated_until"])
    if not until:
        return "not recorded"
    return until if instrument["in_calibration"] else f"{until}: not in calibration on the last day"


@dataclass(frozen=True, slots=True)
class _Signed:
    """One person's name under what they declare, with room to sign. drawn: the signature as in the record."""

    role: str
    name: str
    more: str
    day: str
    width: float
    drawn: Content | None

    @property
    def drawn_height(self) -> float:
        return _DRAWN_HEIGHT if self.drawn else 0


def _declaration(content: Content, variant: Variant, width: float) -> Iterator[Piece]:
    inspection, issue, firm = content["inspection"], content["issue"], content["firm"]["name"]
    texts = {"edition": inspection["edition"]["title"], "firm": firm}
    inspector = inspection["inspector"]
    days = words.days(inspection["started_on"], inspection["finished_on"])
    yield from paragraphs(variant.declared.format(**texts), BODY, width)
    yield _signature("Inspected and tested by", inspector, days, firm, width, inspection.get("signature"))
    if issue:
        yield from paragraphs(variant.reviewed.format(**texts), BODY, width)
        on, drawn = words.day(issue["issued_on"]), issue.get("signature")
        yield _signature("Reviewed and issued by", issue["issued_by"], on, firm, width, drawn)
    else:
        yield from paragraphs("This is a draft: nobody has issued it, and it may change.", BODY, width)


def _signature(role: str, person: Content, day: str, firm: str, width: float, drawn: Content | None) -> Piece:
    more = ", ".join(filter(None, (person["role"], person["qualification"], firm)))
    signed = _Signed(role, person["name"], more, day, width, drawn)
    return Piece(_NAME_SIZE * LEADING + 3 * SMALL * LEADING + 16 + signed.drawn_height, _draw_signed, signed)


def _draw_signed(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, signed in placed:
        y = top - SMALL - 2
        canvas.ink(FAINT)
        canvas.write(left, y, signed.role, SMALL)
        canvas.write(left + signed.width * 0.72, y, "On", SMALL)
        if signed.drawn:
            _draw_strokes(canvas, left, y - 3, signed.drawn)
        y -= signed.drawn_height + _NAME_SIZE * LEADING
        canvas.ink(INK)
        canvas.write(left, y, printable(signed.name), _NAME_SIZE, strong=True)
        for number, line in enumerate(wrap(printable(signed.day), SMALL + 1.5, signed.width * 0.28)):
            canvas.write(left + signed.width * 0.72, y - number * 9.5, line, SMALL + 1.5)
        y -= SMALL * LEADING + 3
        canvas.ink(FAINT)
        for line in wrap(printable(signed.more), SMALL + 0.5, signed.width * 0.7):
            canvas.write(left, y, line, SMALL + 0.5)
            y -= SMALL * LEADING
        canvas.rule(
            left,
            left + signed.width,
            top - signed.drawn_height - _NAME_SIZE * LEADING - 3 * SMALL * LEADING - 8,
            HAIR,
            RULE,
        )


def _draw_strokes(canvas: Canvas, left: float, top: float, drawn: Content) -> None:
    """A signature drawn by hand, its upper left corner at (left, top)."""
    scale = _DRAWN_HEIGHT / drawn["height"]
    canvas.saveState()
    canvas.ink(INK)
    canvas.setLineWidth(1)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    pen = canvas.beginPath()
    for stroke in drawn["strokes"]:
        points = list(zip(stroke[::2], stroke[1::2], strict=True))
        pen.moveTo(left + points[0][0] * scale, top - points[0][1] * scale)
        for x, y in points[1:] or points:  # a stroke of one point is a dot
            pen.lineTo(left + x * scale, top - y * scale)
    canvas.drawPath(pen)
    canvas.restoreState()


def _record(content: Content, sha256: str, width: float) -> Iterator[Piece]:
    issue = content["issue"]
    said = (
        "Everything this report says is attached to this file as data (record.json, "
        f"{content['schema']}), so that whoever inspects next can take it over without typing it again."
    )
    yield from paragraphs(said, BODY, width, gap=3)
    yield from QUIET.pieces(f"SHA-256 of record.json: {sha256}", width)
    if issue and issue["previous_sha256"]:
        yield from QUIET.pieces(f"Of the record the firm issued before: {issue['previous_sha256']}", width)
    if issue and issue["replaces_sha256"]:
        yield from QUIET.pieces(f"Of the revision it replaces: {issue['replaces_sha256']}", width)
