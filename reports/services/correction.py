"""Opening an issued inspection again to correct its record, and dropping a correction opened by mistake."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inspections.enums import InspectionStatus
from inspections.models import Inspection, Member
from inspections.services.record import save_record
from reports.changed_since import changed_since
from reports.models import Correction
from reports.services.held import hold
from reports.services.roles import require_may_issue


@transaction.atomic
def revise(*, inspection: Inspection, what_changed: str, member: Member) -> Correction:
    """From issued back to draft, to be reviewed and issued again as the next revision. The record issued
    stays as it is and stands until then. Raises ValidationError where no record was issued here."""
    require_may_issue(member)
    held = hold(inspection, InspectionStatus.ISSUED)
    record = held.issued_records.order_by("revision").last()
    if record is None:
        raise ValidationError("No record was issued here that could be corrected.")
    correction = Correction(
        inspection=held,
        corrects=record,
        what_changed=what_changed.strip(),
        opened_by=member,
        opened_at=timezone.now(),
    )
    save_record(correction, member=member)
    held.status = InspectionStatus.DRAFT
    save_record(held, member=member, reason=f"Opened to correct {record}")
    return correction


@transaction.atomic
def drop_correction(*, inspection: Inspection, why: str, member: Member) -> Correction:
    """From draft back to issued, under the record that stands. Raises ValidationError where what the visit
    found was changed meanwhile: the record would no longer be what it was drawn from."""
    require_may_issue(member)
    held = hold(inspection, InspectionStatus.DRAFT)
    correction = Correction.objects.waiting_at(held)
    if correction is None:
        raise ValidationError("No correction is open here.")
    if changed := list(changed_since(held, correction.opened_at)):
        raise ValidationError(
            f"Changed since it was opened: {'; '.join(changed)}. Put that back to what {correction.corrects} "
            "says, or have it reviewed and issued as the next revision."
        )
    correction.dropped_why, correction.dropped_by = why.strip(), member
    correction.dropped_at = timezone.now()
    save_record(correction, member=member, reason="Dropped")
    held.status = InspectionStatus.ISSUED
    save_record(held, member=member, reason=f"Correction of {correction.corrects} dropped")
    return correction
