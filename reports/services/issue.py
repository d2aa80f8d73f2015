"""Issuing: the content frozen, numbered, chained to the record before."""

from dataclasses import replace
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inspections.enums import InspectionStatus
from inspections.models import Firm, Inspection, Member
from inspections.services.record import save_record
from reports.blocks import Block, blocks_of
from reports.content import SCHEMA, Gathered, Issue, canonical_json, gather, sha256_of
from reports.examination import Examination
from reports.models import Correction, IssuedRecord, RecordPhoto, RecordSeries, ReviewOutcome
from reports.services.held import hold
from reports.services.review import close_review
from reports.services.roles import require_may_issue
from reports.signature import Signature


class IssueBlocked(ValidationError):
    """Something stands in the way of an issue; ``blocks`` says what, each with the place to go to."""

    def __init__(self, blocks: list[Block]):
        super().__init__([block.text for block in blocks])
        self.blocks = blocks

    @property
    def summary(self) -> str:
        """How much stands in the way, in a sentence."""
        count = len(self.blocks)
        return f"It cannot be issued yet: {count} thing{' stands' if count == 1 else 's stand'} in the way."


@transaction.atomic
def issue_inspection(
    *, inspection: Inspection, member: Member, what_changed: str = "", signature: Signature | None = None
) -> IssuedRecord:
    """From review to issued. ``what_changed`` replaces what the correction was opened with; without a
    ``signature`` the member's name stands typed.

    The content, its hash and the hash of the record the firm issued before are fixed for good, under a number
    without gap or repeat: a correction keeps the number and takes the next revision. Raises IssueBlocked.
    """
    require_may_issue(member)
    held = hold(inspection, InspectionStatus.IN_REVIEW)
    if blocks := blocks_of(Examination(held)):
        raise IssueBlocked(blocks)
    correction = Correction.objects.waiting_at(held)
    series = _hold_series(held.installation.firm)
    at = timezone.now().replace(microsecond=0)
    issue = replace(_next_issue(series, correction, member, at, what_changed), signature=signature)
    record = _freeze(held, issue, gather(held, issue))
    _close(held, record, correction, series, member)
    return record


def _hold_series(firm: Firm) -> RecordSeries:
    """The firm's series, locked until the transaction ends: whoever else issues waits here."""
    series, _ = RecordSeries.objects.select_for_update().get_or_create(firm=firm)
    return series


def _next_issue(
    series: RecordSeries, correction: Correction | None, member: Member, at: datetime, what_changed: str
) -> Issue:
    fixed = {
        "at": at,
        "day": timezone.localdate(at),
        "by": member,
        "previous_sha256": series.last_sha256,
    }
    if correction is None:
        return Issue(number=series.last_number + 1, revision=1, **fixed)
    former = correction.corrects
    return Issue(
        number=former.number,
        revision=former.revision + 1,
        replaces_sha256=former.sha256,
        what_changed=what_changed.strip() or correction.what_changed,
        former=former.read(),
        **fixed,
    )


def _freeze(inspection: Inspection, issue: Issue, gathered: Gathered) -> IssuedRecord:
    content = canonical_json(gathered.content)
    record = IssuedRecord(
        firm=inspection.installation.firm,
        inspection=inspection,
        number=issue.number,
        revision=issue.revision,
        what_changed=issue.what_changed,
        issued_at=issue.at,
        issued_by=issue.by,
        schema=SCHEMA,
        content=content,
        sha256=sha256_of(content),
        previous_sha256=issue.previous_sha256,
    )
    record.full_clean(exclude=["content"])
    record.save()
    RecordPhoto.objects.bulk_create(
        RecordPhoto(record=record, sha256=digest, content=photo) for digest, photo in gathered.photos.items()
    )
    return record


def _close(
    inspection: Inspection,
    record: IssuedRecord,
    correction: Correction | None,
    series: RecordSeries,
    member: Member,
) -> None:
    """The series moves on, the inspection and its review end, and the installation falls due again."""
    series.last_number, series.last_sha256 = max(series.last_number, record.number), record.sha256
    series.save()
    close_review(inspection, ReviewOutcome.ISSUED, member, record.issued_at)
    if correction:
        correction.issued_as = record
        save_record(correction, member=member, reason=f"Issued as {record}")
    inspection.status = InspectionStatus.ISSUED
    save_record(inspection, member=member, reason=f"Issued as {record}")
    installation = inspection.installation
    if inspection.next_due_on and installation.next_due_on != inspection.next_due_on:
        installation.next_due_on = inspection.next_due_on
        save_record(installation, member=member, reason=f"As {record} says")
