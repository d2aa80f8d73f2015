"""Files on their way in: dropped, and forgotten once nothing that was done with them can be taken back."""

from typing import TypeVar

from django.db import transaction
from django.utils import timezone

from inspections.models import Member, Upload
from inspections.querysets import UploadQuerySet
from inspections.services.record import delete_record, save_record
from inspections.services.undo import MAY_BE_TAKEN_BACK_FOR

Sent = TypeVar("Sent")


def drop_upload(*, upload: Sent, member: Member) -> Sent:
    """Put a file away that is not to be brought in."""
    upload.dropped_at = timezone.now()
    return save_record(upload, member=member, reason="Dropped")


@transaction.atomic
def keep_upload(*, upload: Upload, member: Member) -> Upload:
    """Keep a spreadsheet for its preview. Those that the firm brought in before are emptied."""
    forget_dropped(rows=Upload.objects.all(), member=member)
    long_ago = timezone.now() - MAY_BE_TAKEN_BACK_FOR
    Upload.objects.for_firm(member.firm).filter(committed_at__lt=long_ago).update(content=None)
    return save_record(upload, member=member)


def forget_dropped(*, rows: UploadQuerySet, member: Member) -> None:
    """Delete what the firm dropped before; that it was sent and dropped stays in the history."""
    long_ago = timezone.now() - MAY_BE_TAKEN_BACK_FOR
    for upload in rows.for_firm(member.firm).filter(dropped_at__lt=long_ago):
        delete_record(upload, member=member, reason="Forgotten")
