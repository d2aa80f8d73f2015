"""A run over many reports begun, stopped, and gone on with. ``reports.runs.work`` does what it asks for."""

from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inspections.enums import InspectionStatus
from inspections.models import Inspection, Member
from inspections.services.record import save_record
from reports.models import IssuedRecord
from reports.runs.tables import Run, RunItem, RunKind, RunState
from reports.services.roles import require_may_issue


def in_review(member: Member):
    """The visits in review in the member's firm, in the order in which they get their numbers."""
    visits = Inspection.objects.for_firm(member.firm).filter(status=InspectionStatus.IN_REVIEW)
    return visits.order_by("started_on", "pk")


@transaction.atomic
def begin_issue(*, inspections: Iterable[Inspection], member: Member) -> Run:
    """Have these visits issued one after the other, each that nothing stands in the way of."""
    return _begin(
        Run(kind=RunKind.ISSUE), [RunItem(inspection=inspection) for inspection in inspections], member
    )


@transaction.atomic
def begin_export(*, records: Iterable[IssuedRecord], draw_again: bool, member: Member) -> Run:
    """Have the PDF of these records made where there is none yet, each record checked, and with
    ``draw_again`` drawn once more and compared with what was kept."""
    items = [RunItem(record=record, inspection_id=record.inspection_id) for record in records]
    return _begin(Run(kind=RunKind.EXPORT, draw_again=draw_again), items, member)


def _begin(run: Run, items: list[RunItem], member: Member) -> Run:
    require_may_issue(member)
    if not items:
        raise ValidationError("Choose at least one.")
    run.firm, run.member, run.begun_at = member.firm, member, timezone.now()
    run.beat_at = run.begun_at
    save_record(run, member=member, reason="Begun")
    for item in items:
        item.run = run
    RunItem.objects.bulk_create(items, batch_size=1000)
    return run


@transaction.atomic
def stop_run(*, run: Run, member: Member) -> Run:
    """Let the report in hand be finished and none after it be begun."""
    require_may_issue(member)
    run = Run.objects.select_for_update().get(pk=run.pk)
    if not run.is_under_way:
        raise ValidationError("It is not under way.")
    run.state = RunState.STOPPED
    return save_record(run, member=member, reason="Stopped")


@transaction.atomic
def resume_run(*, run: Run, member: Member) -> Run:
    """Go on with a run that was stopped, or whose worker is dead. Whatever worker it had may not go on."""
    require_may_issue(member)
    run = Run.objects.select_for_update().get(pk=run.pk)
    now = timezone.now()
    if run.is_finished:
        raise ValidationError("It is finished.")
    if run.is_under_way and not run.is_silent(now):
        raise ValidationError("It is under way already.")
    run.state, run.member, run.worker, run.beat_at = RunState.UNDER_WAY, member, "", now
    return save_record(run, member=member, reason="Gone on with")
