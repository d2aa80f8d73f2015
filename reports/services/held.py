"""The inspection held while its state changes."""

from django.core.exceptions import ValidationError

from inspections.enums import InspectionStatus
from inspections.models import Inspection
from inspections.services.acts import note_visit

_WHAT_NOW = {
    InspectionStatus.DRAFT: "It is a draft: send it for review first.",
    InspectionStatus.IN_REVIEW: "It is in review: a supervisor returns or issues it.",
    InspectionStatus.ISSUED: "It is issued: its record no longer changes. Correct it by a new revision.",
}


def hold(inspection: Inspection, status: InspectionStatus) -> Inspection:
    """The inspection as it stands, locked until the transaction ends. Raises ValidationError when it is not
    in that state: another person was first."""
    rows = Inspection.objects.select_related("installation__client__firm", "inspector", "based_on")
    held = rows.select_for_update(of=("self",)).get(pk=inspection.pk)
    if held.status != status:
        raise ValidationError(_WHAT_NOW[InspectionStatus(held.status)])
    note_visit(held)
    return held
