"""Writing rows of the record, with who did it and why in their history. One row is checked whole; many at
once are checked by whoever planned them."""

from typing import TypeVar

from django.db import IntegrityError, router, transaction
from django.db.models import Model
from django.db.models.deletion import Collector

from inspections.services.acts import note

Row = TypeVar("Row", bound=Model)


@transaction.atomic
def save_record(row, *, member, reason=""):
    """Check every field and constraint of ``row``, then save it.

    Raises ValidationError, by field, when something does not hold; nothing is then written.
    """
    row.full_clean(validate_constraints=False)
    _sign(row, member, reason)
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:
        row.validate_constraints()  # says in words which; asked of every row it would take most of the time
        raise
    return row


def delete_record(row, *, member, reason=""):
    """Delete a row. Its history stays. Raises ProtectedError where something hangs on it."""
    delete_records([row], member=member, reason=reason)


def delete_records(rows, *, member, reason=""):
    """The same with rows of one model, none of which points at another."""
    for row in rows:
        _sign(row, member, reason)
    collector = Collector(using=router.db_for_write(type(rows[0])))
    collector.collect(rows)
    collector.delete()


@transaction.atomic(savepoint=False)
def create_records(rows: list[Row], *, member, reason="") -> list[Row]:
    """Enter new rows of one model."""
    if rows:
        type(rows[0]).objects.bulk_create(rows)
        _keep_history(rows, member, reason, update=False)
    return rows


def keep_history_of_changed(rows, *, member, reason=""):
    """Keep in the history that rows of one model were changed, which the caller wrote all at once."""
    if rows:
        _keep_history(rows, member, reason, update=True)


def _sign(row, member, reason):
    row._history_user = member
    row._change_reason = reason[:100]


def _keep_history(rows, member, reason, *, update):
    note(
        type(rows[0]).history.bulk_history_create(
            rows, update=update, default_user=member, default_change_reason=reason[:100] or None
        )
    )
