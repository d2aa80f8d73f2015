"""A number or a day sorted into bands that have a name, to choose by."""

from typing import Any

from django.db.models import Case, CharField, Value, When

USED = (
    ("over", "Past its limit"),
    ("near", "Uses over 80 % of it"),
    ("within", "Uses up to 80 % of it"),
    ("none", "None read, or no limit known"),
)


def bands(column: str, *steps: tuple[str, str, Any], otherwise: str) -> Case:
    """The key of the first step that holds. steps: key, comparison (``lt``, ``lte``, ``gt``), with what."""
    whens = (When(**{f"{column}__{compared}": value}, then=Value(key)) for key, compared, value in steps)
    return Case(*whens, default=Value(otherwise), output_field=CharField())


def used(column: str) -> Case:
    """The share of its limit that a reading uses [%], of which nought is none known."""
    return bands(column, ("over", "gt", 100), ("near", "gt", 80), ("within", "gt", 0), otherwise="none")
