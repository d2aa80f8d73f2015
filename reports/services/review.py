"""Sending an inspection for review, answering its points, and returning it."""

from collections.abc import Mapping
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inspections.enums import InspectionStatus
from inspections.models import Inspection, Member
from inspections.services.record import save_record
from reports.examination import Examination
from reports.models import PointAnswer, Review, ReviewOutcome
from reports.points import points_of
from reports.services.held import hold
from reports.services.roles import require_may_issue
from reports.signature import Signature

SAYS_ELSE = "This point is no longer there. Look at the points as they are now, and answer those."


@transaction.atomic
def send_for_review(
    *, inspection: Inspection, member: Member, note: str = "", signature: Signature | None = None
) -> Review:
    """From draft to review: the record stays as it is until a supervisor returns or issues it. A signature
    stands in the record where whoever sends it is its inspector."""
    held = hold(inspection, InspectionStatus.DRAFT)
    review = Review(
        inspection=held,
        sent_by=member,
        sent_at=timezone.now(),
        note=note.strip(),
        signature=signature and signature.as_content(),
    )
    save_record(review, member=member)
    _set_status(held, InspectionStatus.IN_REVIEW, member, "Sent for review")
    return review


@transaction.atomic
def answer_points(*, inspection: Inspection, answers: Mapping[str, str], member: Member) -> list[PointAnswer]:
    """Answer several points, by their keys. Raises ValidationError for a key that is no point any more."""
    require_may_issue(member)
    held = hold(inspection, InspectionStatus.IN_REVIEW)
    points = {point.key: point for point in points_of(Examination(held))}
    if any(key not in points for key in answers):
        raise ValidationError(SAYS_ELSE)
    saved = []
    for key, text in answers.items():
        answer = points[key].answer or PointAnswer(inspection=held, key=key, said=points[key].said)
        if answer.text == text.strip():
            continue
        answer.text, answer.answered_by = text.strip(), member
        answer.answered_on = timezone.localdate()
        saved.append(save_record(answer, member=member))
    return saved


@transaction.atomic
def return_with_remarks(*, inspection: Inspection, remarks: str, member: Member) -> Review:
    """From review back to draft, saying what is to be put right."""
    require_may_issue(member)
    held = hold(inspection, InspectionStatus.IN_REVIEW)
    review = close_review(held, ReviewOutcome.RETURNED, member, timezone.now(), remarks=remarks.strip())
    _set_status(held, InspectionStatus.DRAFT, member, "Returned from review")
    return review


def close_review(
    inspection: Inspection, outcome: ReviewOutcome, member: Member, at: datetime, remarks: str = ""
) -> Review:
    """End the review that is open."""
    review = inspection.reviews.get(outcome="")
    review.outcome, review.remarks = outcome, remarks
    review.closed_by, review.closed_at = member, at
    return save_record(review, member=member)


def _set_status(inspection: Inspection, status: InspectionStatus, member: Member, reason: str) -> None:
    inspection.status = status
    save_record(inspection, member=member, reason=reason)
