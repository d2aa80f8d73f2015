"""Writing one row of the record: checked whole, with who did it and why in its history."""

from django.db import IntegrityError, transaction


@transaction.atomic
def save_record(row, *, member, reason=""):
    """Check every field and constraint of ``row``, then save it.

    Raises ValidationError, by field, when something does not hold; nothing is then written.
    """
    row.full_clean(validate_constraints=False)
    row._history_user = member
    row._change_reason = reason[:100]
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:
        row.validate_constraints()  # says in words which; asked of every row it would take most of the time
        raise
    return row
