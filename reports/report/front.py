"""The first page: which report, of what place, with what outcome, what that means, and what to do next."""

from dataclasses import dataclass

from inspections.words import on_one_line
from reports import words
from reports.pdf.blocks import Lines, facts_block
from reports.pdf.canvas import Canvas
from reports.pdf.page import (
    ACCENT,
    FAINT,
    FIRM,
    INK,
    LEADING,
    RULE,
    SMALL,
    THIN,
    Frame,
    Piece,
    Placed,
    Section,
    space,
)
from reports.pdf.tags import ARTIFACT
from reports.pdf.text import printable, text_width, wrap
from reports.report import plainly
from reports.report.blocks import (
    BODY,
    LEAD,
    QUIET,
    STRONG,
    definitions,
    entries,
    paragraphs,
    part,
    text_width_beside,
)
from reports.report.variants import Variant
from reports.sheets.sheet import Fact
from reports.words import Content

_TITLE = Lines(21, strong=True, tag="H1")
_PLACE = Lines(11)
_FIRM = Lines(9.5, ACCENT, strong=True)
_PAD = 9.0
_COUNT_SIZE, _OUTCOME_SIZE = 13.0, 17.0


def front(content: Content, variant: Variant, frame: Frame) -> tuple[Section, ...]:
    """The sections of the first page."""
    beside = text_width_beside(frame)
    steps = tuple(plainly.next_steps(content))
    summary = content["inspection"]["general_condition"]
    return (
        Section(frame.title, _head(content, variant, frame), frame=frame),
        *((part("In short", paragraphs(summary, BODY, beside), frame),) if summary.strip() else ()),
        part("What to do next", definitions(steps, beside), frame),
        *_changed(content, frame),
    )


def _head(content: Content, variant: Variant, frame: Frame) -> tuple[Piece, ...]:
    width = frame.width
    firm, place = content["firm"], content["installation"]
    contact = " · ".join(filter(None, (on_one_line(firm["address"]), firm["phone"], firm["email"])))
    where = " · ".join(filter(None, (place["name"], words.address(content))))
    return (
        *_FIRM.pieces(firm["name"], width),
        *(QUIET.pieces(contact, width) if contact else ()),
        space(14),
        *_TITLE.pieces(frame.title, width),
        *_PLACE.pieces(where, width),
        Piece(11, _draw_firm_rule, width, tag=ARTIFACT),
        *facts_block(_facts(content), width),
        space(7),
        *_outcome(content, variant, width),
    )


def _facts(content: Content) -> tuple[Fact, ...]:
    inspection, issue, client = content["inspection"], content["issue"], content["client"]
    return (
        Fact("Report", words.number(content)),
        Fact("Visit", words.days(inspection["started_on"], inspection["finished_on"])),
        *((Fact("Issued", words.day(issue["issued_on"])),) if issue else ()),
        Fact("Client", ", ".join(filter(None, (client["name"], on_one_line(client["address"]))))),
        Fact("Use of the premises", content["installation"]["use"]["words"]),
        *(
            (Fact("Last inspected", words.day(inspection["last_inspected_on"])),)
            if inspection["last_inspected_on"]
            else ()
        ),
        Fact("Inspected by", inspection["inspector"]["name"]),
        Fact("Held to", inspection["edition"]["title"]),
    )


def _draw_firm_rule(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, width in placed:
        canvas.rule(left, left + width, top - 4, FIRM, ACCENT)


@dataclass(frozen=True, slots=True)
class _Box:
    """The outcome in its box. counts: (code, how many, meaning) from left to right."""

    word: str
    meaning: tuple[str, ...]
    counts: tuple[tuple[str, str, tuple[str, ...]], ...]
    width: float

    @property
    def text_height(self) -> float:
        return _OUTCOME_SIZE * LEADING + len(self.meaning) * LEAD.size * 1.32 + 4

    @property
    def counts_height(self) -> float:
        lines = max((len(meaning) for _, _, meaning in self.counts), default=0)
        return _COUNT_SIZE + lines * (SMALL * LEADING + 2) if self.counts else 0

    @property
    def height(self) -> float:
        return self.text_height + self.counts_height + 2 * _PAD + _PAD / 2


def _outcome(content: Content, variant: Variant, width: float) -> tuple[Piece, ...]:
    inner = width - 2 * _PAD
    if variant.tells_condition:
        word = plainly.outcome_word(content)
        meaning = f"{plainly.outcome_means(content)}"
    else:
        word = variant.headline
        open_ones = len(plainly.still_open(content))
        meaning = (
            f"{words.counted(open_ones, 'observation').capitalize()} to read; the schedules say what was "
            "tested and with what result."
        )
    column = inner / 4
    counts = tuple(
        (code, str(count), wrap(means, SMALL + 0.5, column - 8))
        for code, count, means in plainly.counts(content)
    )
    box = _Box(word, wrap(printable(meaning), LEAD.size, inner), counts, width)
    return (Piece(box.height, _draw_outcome, box),)


def _draw_outcome(canvas: Canvas, left: float, placed: Placed) -> None:
    for top, box in placed:
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(FIRM)
        canvas.rect(left, top - box.height, box.width, box.height)
        canvas.ink(INK)
        y = top - _PAD - _OUTCOME_SIZE
        canvas.write(left + _PAD, y, box.word, _fitting_size(box), strong=True)
        y -= 6
        for line in box.meaning:
            y -= LEAD.size * 1.32
            canvas.write(left + _PAD, y + 1, line, LEAD.size)
        if box.counts:
            _draw_counts(canvas, left, top - _PAD - box.text_height - _PAD / 2, box)


def _fitting_size(box: _Box) -> float:
    return min(_OUTCOME_SIZE, _OUTCOME_SIZE * (box.width - 2 * _PAD) / text_width(box.word, _OUTCOME_SIZE))


def _draw_counts(canvas: Canvas, left: float, top: float, box: _Box) -> None:
    column = (box.width - 2 * _PAD) / len(box.counts)
    canvas.rule(left, left + box.width, top, THIN, RULE)
    for number, (code, count, meaning) in enumerate(box.counts):
        x, y = left + _PAD + number * column, top - _PAD / 2 - _COUNT_SIZE
        canvas.ink(INK if count != "0" else FAINT)
        canvas.write(x, y, f"{count} × {code}", _COUNT_SIZE, strong=count != "0")
        for line in meaning:
            y -= (SMALL + 0.5) * LEADING + 1
            canvas.write(x, y, line, SMALL + 0.5)


def _changed(content: Content, frame: Frame) -> tuple[Section, ...]:
    """What a revision changed; nothing for a first issue."""
    issue = content["issue"]
    if not issue or issue["revision"] == 1:
        return ()
    width = text_width_beside(frame)
    said = STRONG.pieces(f"Revision {issue['revision']} replaces the one before.", width)
    return (
        part(
            "What this revision changes",
            (*said, space(2), *paragraphs(issue["what_changed"], BODY, width), *_items(issue, width)),
            frame,
        ),
    )


def _items(issue: Content, width: float) -> tuple[Piece, ...]:
    changes = [("–", f"{one['where']}: {_was_and_is(one)}") for one in issue["changes"]]
    return entries(changes, width)


def _was_and_is(change: Content) -> str:
    return f"{change['what']}, was {change['was'] or 'not there'}, is {change['now'] or 'there no more'}"
