"""Writing one row of the record: checked whole, with who did it and why in its history."""

from django.db import transaction


@transaction.atomic
def save_record(row, *, member, reason=""):
    """Check every field and constraint of ``row``, then save it.

    Raises ValidationError, by field, when something does not hold; nothing is then written.
    """
    row.full_clean()
    row._history_user = member
    row._change_reason = reason[:100]
    row.save()
    return row
