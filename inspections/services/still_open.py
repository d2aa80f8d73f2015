"""Whether a visit's record may still change."""

from django.core.exceptions import ValidationError

from inspections.models import Inspection
from inspections.services.acts import note_visit


def require_open(inspection: Inspection) -> None:
    """Hold the inspection until the transaction ends. Raises ValidationError when it is no longer a draft."""
    locked = Inspection.objects.select_for_update().get(pk=inspection.pk)
    if not locked.is_open:
        raise ValidationError(
            f"This visit is {locked.get_status_display().lower()}: its record no longer changes. "
            "A supervisor can return one in review to draft."
        )
    note_visit(locked)
