"""The worker of a run. It may be killed at any moment: each report is issued in one transaction with the note
that it was, so that whoever goes on never issues it again and never passes one over.

Every transaction begins by showing the worker's mark. Once the run is stopped, or another worker has taken
it, the mark no longer holds and nothing more is written.
"""

import logging
import subprocess
import sys
import threading
import uuid
from collections.abc import Iterator

from django.conf import settings
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils import timezone

from inspections.services.record import save_record
from reports.bulk_export import LeftOut, is_drawing_of, pdf_of
from reports.models import IssuedRecord
from reports.runs.tables import Run, RunItem, RunKind, RunOutcome, RunState
from reports.services.issue import issue_inspection
from reports.services.pdf import draw_pdf, drawn_again

BROKE_DOWN = "The program failed on it; its log says why. Try it on its own."
HAS_LEFT = "The member who started it has left the firm."
log = logging.getLogger("django.reports.runs")


class RunTaken(Exception):
    """The run is not under way, or another worker is at it."""


class _MarkGone(Exception):
    """The run was stopped, or another worker has taken it."""


def start_worker() -> None:
    """A process that works off every run nobody is at, and ends. It outlives the one that started it."""
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "work_runs"]
    process = subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, start_new_session=True
    )
    threading.Thread(target=process.wait, daemon=True).start()  # so that it leaves no zombie behind


def work_off(run: Run) -> Iterator[RunItem]:
    """Do what is left of a run; yields each report as it is done. Ends early, quietly, when the run is
    stopped or taken by another. Raises RunTaken where it may not be begun."""
    mark = uuid.uuid4().hex
    if not Run.objects.free().filter(pk=run.pk).update(worker=mark, beat_at=timezone.now()):
        raise RunTaken(run)
    try:
        for pk in list(run.items.filter(outcome=RunOutcome.WAITING).values_list("pk", flat=True)):
            yield _done(run.pk, mark, pk)
        _finish(run.pk, mark)
    except (_MarkGone, RunItem.DoesNotExist):  # the latter of a sample thrown away meanwhile
        return


def _show(run_pk: int, mark: str) -> None:
    """Hold the run until the transaction ends, and tell that its worker lives."""
    held = Run.objects.under_way().filter(pk=run_pk, worker=mark)
    if not held.update(beat_at=timezone.now()):
        raise _MarkGone


@transaction.atomic
def _finish(run_pk: int, mark: str) -> None:
    _show(run_pk, mark)
    run = Run.objects.get(pk=run_pk)
    run.state, run.ended_at = RunState.FINISHED, timezone.now()
    save_record(run, member=run.member, reason="Finished")


def _done(run_pk: int, mark: str, item_pk: int) -> RunItem:
    item = RunItem.objects.select_related("inspection__installation", "run__member__firm").get(pk=item_pk)
    try:
        outcome, said = _DO[item.run.kind](item, mark)
    except (LeftOut, ValidationError, PermissionDenied) as refused:
        reasons = refused.messages if isinstance(refused, ValidationError) else [str(refused)]
        outcome, said = RunOutcome.LEFT_OUT, "\n".join(reasons)
    except _MarkGone:
        raise
    except Exception:  # one report that breaks the program must not keep back those after it
        log.exception("Run %s broke down at visit %s", run_pk, item.inspection_id)
        outcome, said = RunOutcome.LEFT_OUT, BROKE_DOWN
    with transaction.atomic():
        _show(run_pk, mark)
        item.outcome, item.said = outcome, said
        item.save(update_fields=["outcome", "said"])
    return item


def _issue(item: RunItem, mark: str) -> tuple[RunOutcome, str]:
    """Issued and noted at once; then drawn, which an earlier worker may not have come to."""
    member = item.run.member
    if not member.is_active:
        raise LeftOut(HAS_LEFT)
    if item.record_id is None:
        with transaction.atomic():
            _show(item.run_id, mark)
            item.record = issue_inspection(inspection=item.inspection, member=member)
            item.save(update_fields=["record"])
    if not item.record.pdf_sha256:
        draw_pdf(item.record)
    return RunOutcome.DONE, ""


def _export(item: RunItem, mark: str) -> tuple[RunOutcome, str]:
    with transaction.atomic():
        _show(item.run_id, mark)
    record = IssuedRecord.objects.get(pk=item.record_id)
    pdf = pdf_of(record)
    differs = item.run.draw_again and not is_drawing_of(pdf, drawn_again(record))
    return RunOutcome.DIFFERS if differs else RunOutcome.DONE, ""


_DO = {RunKind.ISSUE: _issue, RunKind.EXPORT: _export}
