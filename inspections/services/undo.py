"""Taking back the last thing done to one row, by its history. Nothing is lost: the act and its taking back
both stay in it."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model

from inspections.models import Member
from inspections.services.record import save_record

DONE_SINCE = (
    "It has been changed again since, so it was not taken back. Open it and change it as it should be."
)


@transaction.atomic
def take_back(*, model: type[Model], act: int, member: Member) -> Model:
    """Put a row back as it stood before ``act``, the number of the entry that its history made of the act.

    Raises ValidationError where something was done to the row since, or it no longer fits the record.
    """
    done = model.history.get(history_id=act)
    model.objects.select_for_update().filter(pk=done.id).first()
    latest, *earlier = model.history.filter(id=done.id).order_by("-history_id")[:2]
    if latest != done:
        raise ValidationError(DONE_SINCE)
    if done.history_type == "-":
        row = done.instance
    else:
        row = earlier[0].instance
        row._state.adding = False
    return save_record(row, member=member, reason="Taken back")
