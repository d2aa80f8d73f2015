"""A record that another firm issued, brought into the record of this firm: its place as it was known, and the
inspection as a former one, which no longer changes.

Their client's address comes along. Their instruments do not become ours: the page of the visit tells of them
out of the record as it came. A limitation that was lifted no longer stands and stays behind, and so does a
load whose circuit is no longer there.
"""

from dataclasses import dataclass, field

from django.db import transaction
from django.utils import timezone

from inspections.enums import InspectionStatus
from inspections.models import Inspection, Member
from inspections.services.record import save_record
from inspections.services.uploads import forget_dropped
from reports import words
from reports.intake.loads import bring_in_loads
from reports.intake.place import bring_in_place
from reports.intake.read import RecordIntakeError, read_record
from reports.intake.rows import Rows
from reports.intake.uploads import RecordUpload
from reports.intake.visit import bring_in_visit
from reports.models import IssuedRecord

OF_A_SAMPLE = "This is the report of a sample firm, its place and readings invented. Nothing was brought in."


@dataclass
class BroughtIn:
    """What came in: the inspection, how many rows of each thing in words, and what stayed behind and why."""

    inspection: Inspection
    counts: list[tuple[str, int]] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)


@transaction.atomic
def keep_upload(*, name: str, pdf: bytes, member: Member) -> RecordUpload:
    """Keep a report for its preview. Raises RecordIntakeError when it cannot be read or is here already."""
    read = read_record(pdf)
    if words.notice(read.content) and not member.is_in_sample:
        raise RecordIntakeError(OF_A_SAMPLE)
    if IssuedRecord.objects.for_firm(member.firm).filter(sha256=read.sha256).exists():
        raise RecordIntakeError(
            f"This is {words.number(read.content)} of your own firm: it is in the record already."
        )
    before = RecordUpload.objects.for_firm(member.firm).filter(sha256=read.sha256, committed_at__isnull=False)
    if before.exists():
        raise RecordIntakeError(f"{before.get()} was brought in before. Nothing was changed.")
    upload = RecordUpload(
        firm=member.firm,
        name=name[:200],
        pdf=pdf,
        record=read.record,
        sha256=read.sha256,
        issued_by_firm=read.content["firm"]["name"][:120],
        inspected_by=read.content["inspection"]["inspector"]["name"][:120],
        number=words.number(read.content)[:40],
        sent_by=member,
    )
    forget_dropped(rows=RecordUpload.objects.all(), member=member)
    return save_record(upload, member=member)


def preview_record(*, upload: RecordUpload, client: str, installation: str, member: Member) -> BroughtIn:
    """What bringing the report in would do, found out by doing it and taking it back. Raises
    RecordIntakeError as ``bring_in_record`` does."""
    with transaction.atomic():
        brought = _bring_in(upload, client, installation, member, keep_photos=False)
        transaction.set_rollback(True)
    return brought


@transaction.atomic
def bring_in_record(*, upload: RecordUpload, client: str, installation: str, member: Member) -> BroughtIn:
    """Bring the report in, all at once. client: name of one of the firm's clients, or of a new one.
    installation: what it is to be called.

    Raises RecordIntakeError, and nothing is written, when the record does not fit.
    """
    upload = RecordUpload.objects.select_for_update().get(pk=upload.pk)
    if upload.is_committed:
        raise RecordIntakeError(f"{upload} is in the record already.")
    brought = _bring_in(upload, client, installation, member, keep_photos=True)
    upload.pdf, upload.committed_at, upload.inspection = None, timezone.now(), brought.inspection
    save_record(upload, member=member, reason="Brought in")
    return brought


def _bring_in(
    upload: RecordUpload, client: str, installation: str, member: Member, *, keep_photos: bool
) -> BroughtIn:
    rows = Rows(read_record(bytes(upload.pdf)), upload, member, keep_photos=keep_photos)
    bring_in_place(rows, client.strip(), installation.strip())
    counts = [
        ("Boards", len(rows.boards)),
        ("Circuits", len(rows.circuits)),
        *bring_in_visit(rows),
        ("Entries of the load register", sum(1 for _ in bring_in_loads(rows))),
    ]
    rows.inspection.status = InspectionStatus.ISSUED
    rows.save(rows.inspection, "the inspection")
    return BroughtIn(rows.inspection, counts, rows.left_out)
