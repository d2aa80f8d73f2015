"""Recording the outcomes of the visual inspection: a whole page at once, and no one overwrites unseen."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from django.core.exceptions import ValidationError
from django.db import transaction

from inspections.enums import Outcome
from inspections.models import Inspection, Member, VisualOutcome
from inspections.rules import visual
from inspections.services.record import create_records, delete_record, keep_history_of_changed
from inspections.services.still_open import require_open

NOT_KNOWN = "Choose one of ✓, C1, C2, C3, FI, N/V, LIM or N/A."
LIM_SAYS_WHY = "LIM needs its limitation: type in the remark why it could not be looked at."
REMARK_ALONE = "This remark has no outcome. Choose one, or clear the remark."

ANOTHER_SAVED = "Someone else saved “{}” meanwhile, and that is kept. Save again to put yours in its place."


@dataclass(frozen=True)
class Answer:
    """The outcome of one item with its remark; no outcome while it is not answered."""

    outcome: str = ""
    remark: str = ""

    def __str__(self):
        return " ".join(filter(None, (self.outcome or "no outcome", self.remark)))


@dataclass(frozen=True)
class TypedAnswer:
    """One item as typed. ``seen``: what stood on the page that it was typed into."""

    item: str
    answer: Answer
    seen: Answer


@dataclass
class Recorded:
    """What became of a page. saved: how many items changed. refused: message by item, for what was not
    saved: not understood, or meanwhile answered otherwise by another person and left as that stands."""

    saved: int = 0
    refused: dict[str, str] = field(default_factory=dict)


def answer_of(row: VisualOutcome | None) -> Answer:
    return Answer(row.outcome, row.remark) if row else Answer()


@transaction.atomic
def record_visual_outcomes(
    *, inspection: Inspection, typed: Iterable[TypedAnswer], member: Member, satisfactory_area: str = ""
) -> Recorded:
    """Record what changed on a page of visual items, and say what became of it.

    satisfactory_area: key of an area whose items are ✓ where neither this page nor the record has an answer.
    An answer taken back is removed from the record and kept in its history.

    Raises ValidationError when the inspection is no longer a draft. Items that are not listed are left out.
    """
    require_open(inspection)
    standing = {row.item: row for row in VisualOutcome.objects.filter(inspection=inspection)}
    pages = {one.item: one for one in typed}
    recorded, changes = Recorded(), {}
    for area in visual.areas():
        for item in area.items:
            now = answer_of(standing.get(item.key))
            wanted = pages.get(item.key)
            if area.key == satisfactory_area and not now.outcome:
                wanted = _filled(item.key, wanted)
            if wanted is None or wanted.answer == now or wanted.answer == wanted.seen:
                continue
            if now != wanted.seen:
                recorded.refused[item.key] = ANOTHER_SAVED.format(now)
            elif problem := _problem(inspection, item.key, wanted.answer):
                recorded.refused[item.key] = problem
            else:
                changes[item.key] = wanted.answer
    _write(inspection, standing, changes, member)
    recorded.saved = len(changes)
    return recorded


def _filled(item: str, typed: TypedAnswer | None) -> TypedAnswer:
    """An item that the record has no answer for: ✓, where the page has none either."""
    if typed is None:
        return TypedAnswer(item, Answer(Outcome.PASS), seen=Answer())
    if typed.answer.outcome or typed.seen.outcome:  # answered here, or taken back by another person meanwhile
        return typed
    return replace(typed, answer=replace(typed.answer, outcome=Outcome.PASS))


def _problem(inspection: Inspection, item: str, answer: Answer) -> str:
    if not answer.outcome:
        return REMARK_ALONE if answer.remark else ""
    if answer.outcome not in Outcome.values:
        return NOT_KNOWN
    if answer.outcome == Outcome.LIM and not answer.remark:
        return LIM_SAYS_WHY
    row = VisualOutcome(inspection=inspection, item=item, outcome=answer.outcome, remark=answer.remark)
    try:
        row.clean_fields(exclude=["inspection"])
    except ValidationError as error:
        return " ".join(error.messages)
    return ""


def _write(
    inspection: Inspection,
    standing: Mapping[str, VisualOutcome],
    changes: Mapping[str, Answer],
    member: Member,
) -> None:
    new, changed = [], []
    for item, answer in changes.items():
        row = standing.get(item)
        if row and not answer.outcome:
            delete_record(row, member=member)
            continue
        (changed if row else new).append(row := row or VisualOutcome(inspection=inspection, item=item))
        row.outcome, row.remark = answer.outcome, answer.remark
    create_records(new, member=member)
    VisualOutcome.objects.bulk_update(changed, ["outcome", "remark"])
    keep_history_of_changed(changed, member=member)
