"""Taking back an act by the histories of its rows: all of it or nothing. Nothing is lost: the act and its
taking back both stay in them."""

from collections.abc import Iterable
from datetime import timedelta
from itertools import groupby
from operator import attrgetter
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Model, OuterRef, ProtectedError, Q, QuerySet, Subquery

from inspections.models import Inspection, Member
from inspections.services.acts import Act, Run
from inspections.services.record import delete_records, save_record

MAY_BE_TAKEN_BACK_FOR = timedelta(minutes=15)
REASON = "Undone"
DONE_SINCE = "It has been changed again since, so nothing was undone. Open it and correct it."
MOVED_ON = "what was done before that can no longer be undone."
NOT_KNOWN = "Its history does not show how it was before, so nothing was undone."


@transaction.atomic
def take_back(*, act: Act, member: Member) -> None:
    """Put every row back as it stood before ``act``, entry by entry, the newest first: a row that it made is
    gone again, one that it deleted is there.

    Raises ValidationError where something was done to a row since, where something hangs on it now, or where
    it no longer fits the record.
    """
    for visit in Inspection.objects.select_for_update().filter(pk__in=act.visits):
        if visit.status != act.visits[visit.pk]:
            raise ValidationError(f"The visit is {visit.get_status_display().lower()} now: {MOVED_ON}")
    in_order = sorted(act.runs, key=attrgetter("label"))
    for _, runs in groupby(in_order, key=attrgetter("label")):
        _require_nothing_since(list(runs))
    try:
        for run in reversed(act.runs):
            _take_back(run, member)
    except (ProtectedError, IntegrityError) as error:
        raise ValidationError(DONE_SINCE) from error


def _entries(runs: Iterable[Run]) -> Q:
    entries = Q()
    for run in runs:
        entries |= Q(history_id__range=(run.first, run.last))
    return entries


def _require_nothing_since(runs: list[Run]) -> None:
    """Hold the rows of one model, and see that the entries of the act are the last in their histories."""
    model, act = runs[0].model, _entries(runs)
    rows = model.history.filter(act).values("id")
    list(model._base_manager.select_for_update().filter(pk__in=rows).order_by("pk").values_list("pk"))
    later = model.history.filter(id__in=rows, history_id__gt=runs[0].first).exclude(act)
    if later.exists():
        raise ValidationError(DONE_SINCE)


def _take_back(run: Run, member: Member) -> None:
    history = run.model.history
    of_run = history.filter(_entries([run]), history_user=member)
    entries = list(_with_entry_before(of_run).order_by("-history_id"))
    if len(entries) != run.count:
        raise ValidationError(NOT_KNOWN)
    before = history.in_bulk([entry.before for entry in entries if entry.before])
    for done, alike in groupby(entries, key=attrgetter("history_type")):
        if done == "+":
            made = run.model._base_manager.in_bulk([entry.id for entry in alike])
            delete_records(list(made.values()), member=member, reason=REASON)
            continue
        for entry in alike:
            if done == "-":
                save_record(entry.instance, member=member, reason=REASON)
            else:
                _put_back(before.get(entry.before), entry, member)


def _with_entry_before(entries: QuerySet) -> QuerySet:
    """Each with ``before``: the number of the entry that its row had before it."""
    earlier = entries.model.objects.filter(id=OuterRef("id"), history_id__lt=OuterRef("history_id"))
    return entries.annotate(before=Subquery(earlier.order_by("-history_id").values("history_id")[:1]))


def _put_back(before: Any, entry: Any, member: Member) -> Model:
    """The row as the entry before says it stood. A count of its saves goes on: whoever saw the row as the act
    left it finds that it moved."""
    if before is None:
        raise ValidationError(NOT_KNOWN)
    row = before.instance
    row._state.adding = False
    if hasattr(row, "version"):
        row.version = entry.version + 1
    save_record(row, member=member, reason=REASON)
    for several in before._history_m2m_fields:
        then = getattr(before, several.name).values_list(several.m2m_reverse_field_name(), flat=True)
        getattr(row, several.name).set(then)
    return row
