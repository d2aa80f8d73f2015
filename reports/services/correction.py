"""Opening an issued inspection again to correct its record."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inspections.enums import InspectionStatus
from inspections.models import Inspection, Member
from inspections.services.record import save_record
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
