"""What of the audit needs one person today, by what they do in the firm."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from urllib.parse import urlencode

from django.db.models import Count, QuerySet
from django.urls import reverse

from inspections.enums import InspectionStatus, Role
from inspections.models import Member
from inspections.views.today import DUE_WITHIN_DAYS
from remedies.enums import LoadState
from reports.audit.tables import Due, DueAudit, LoadAudit
from reports.audit.work_out import bring_up_to_date
from reports.models import Review, ReviewOutcome

PLACES_AT_ONCE = 25  # the first page of the day does not wait for more

_KINDS = {
    "print": (Due.LABEL_MISSING, Due.LABEL_OLD),
    "stick": (Due.LABEL_WAITS,),
    "calibration": (Due.CALIBRATION,),
    "open": (Due.C1, Due.C2, Due.FI),
}
_OF_ROLE = {
    Role.OFFICE: ("put back", "print", "calibration", "open"),
    Role.SUPERVISOR: ("returned", "put back", "open", "calibration", "print"),
    Role.ELECTRICIAN: ("put back", "stick", "print"),
    Role.INSPECTOR: ("returned", "put back", "calibration"),
}


@dataclass(frozen=True)
class Need:
    """Something to do: in words, and the page that shows it."""

    words: str
    link: str


def needs_of(member: Member, day: date) -> list[Need]:
    """What needs a member of a firm today, most urgent first. Statements do not grow with the record."""
    bring_up_to_date(member.firm, day, limit=PLACES_AT_ONCE)
    counts = dict(_due_soon(member, day).values_list("what").annotate(n=Count("*")))
    disconnected = _disconnected(member).count()
    needs = {
        "put back": _counted(
            disconnected,
            "load disconnected for a test and never put back",
            "loads disconnected for a test and never put back",
            "parts",
            state=LoadState.DISCONNECTED,
        ),
        "print": _due(counts, _KINDS["print"], "board label to print", "board labels to print"),
        "stick": _due(
            counts,
            _KINDS["stick"],
            "printed label to stick at its board",
            "printed labels to stick at boards",
        ),
        "calibration": _due(
            counts,
            _KINDS["calibration"],
            f"instrument out of calibration, or within {DUE_WITHIN_DAYS} days",
            f"instruments out of calibration, or within {DUE_WITHIN_DAYS} days",
        ),
        "open": _due(
            counts,
            _KINDS["open"],
            "observation of C1, C2 or FI still open",
            "observations of C1, C2 or FI still open",
        ),
        "returned": [_sent_back(review) for review in _returned(member)],
    }
    return [need for name in _OF_ROLE[Role(member.role)] for need in needs[name]]


def waiting_for(member: Member, day: date) -> set[str]:
    """A key for each single thing that ``needs_of`` counts or names, the same as long as it waits."""
    asked = _OF_ROLE[Role(member.role)]
    kinds = [kind for name in asked for kind in _KINDS.get(name, ())]
    due = _due_soon(member, day).filter(what__in=kinds).values_list("what", "target")
    keys = {f"{what}:{target}" for what, target in due}
    if "put back" in asked:
        keys |= {f"put back:{pk}" for pk in _disconnected(member).values_list("pk", flat=True)}
    if "returned" in asked:
        keys |= {f"returned:{review.pk}" for review in _returned(member)}
    return keys


def _due_soon(member: Member, day: date) -> QuerySet:
    soon = day + timedelta(days=DUE_WITHIN_DAYS)
    return DueAudit.objects.for_firm(member.firm).filter(on__lte=soon).order_by()


def _disconnected(member: Member) -> QuerySet:
    return LoadAudit.objects.for_firm(member.firm).filter(state=LoadState.DISCONNECTED)


def _due(counts, kinds, one: str, several: str) -> list[Need]:
    return _counted(
        sum(counts.get(kind, 0) for kind in kinds), one, several, "falling-due", what=[str(k) for k in kinds]
    )


def _counted(count: int, one: str, several: str, question: str, **chosen) -> list[Need]:
    if not count:
        return []
    address = f"{reverse('audit_question', args=[question])}?{urlencode(chosen, doseq=True)}"
    return [Need(f"{count:,} {one if count == 1 else several}", address)]


def _returned(member: Member) -> Iterator[Review]:
    """The last review of each visit returned and open since: one's own, or for a supervisor everybody's."""
    reviews = (
        Review.objects.for_firm(member.firm)
        .filter(outcome=ReviewOutcome.RETURNED, inspection__status=InspectionStatus.DRAFT)
        .select_related("inspection__installation")
        .order_by("inspection", "-sent_at")
    )
    if member.role != Role.SUPERVISOR:
        reviews = reviews.filter(inspection__inspector=member)
    told = set()
    for review in reviews:
        if review.inspection_id not in told:
            told.add(review.inspection_id)
            yield review


def _sent_back(review: Review) -> Need:
    visit = review.inspection
    words = f"Returned: {visit.installation}, {visit}. {review.remarks}"
    return Need(words, reverse("inspection", args=[visit.pk]))
