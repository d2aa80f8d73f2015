"""What of a visit no longer is as it stood at some moment, by the history of its rows."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.db.models import Model
from django.utils import timezone

from inspections.models import (
    BoardResult,
    CircuitResult,
    Inspection,
    Limitation,
    Observation,
    VisualOutcome,
)
from reports.integrity import PUT_RIGHT

_ROWS = (BoardResult, CircuitResult, Limitation, Observation, VisualOutcome)
_MAY_CHANGE = PUT_RIGHT | {"status"}


def changed_since(inspection: Inspection, at: datetime) -> Iterator[str]:
    """Each row that differs, is gone or is new, in words; an observation put right since does not count."""
    yield from _changed(Inspection, at, id=inspection.pk)
    for model in _ROWS:
        yield from _changed(model, at, inspection=inspection)


def _changed(model: type[Model], at: datetime, **which: Any) -> Iterator[str]:
    then, now = (
        {row.pk: row for row in model.history.as_of(on).filter(**which)} for on in (at, timezone.now())
    )
    for pk, row in {**then, **now}.items():
        if pk not in then or pk not in now or _values(then[pk]) != _values(now[pk]):
            yield f"{model._meta.verbose_name}, {row}"


def _values(row: Model) -> dict[str, Any]:
    """Every field of a row as its history has it; of those to many, the keys."""
    fields, entry = row._meta, row._history
    values = {
        field.name: getattr(entry, field.attname)
        for field in fields.concrete_fields
        if field.name not in _MAY_CHANGE
    }
    for field in fields.many_to_many:
        key = f"{field.m2m_reverse_field_name()}_id"
        values[field.name] = {getattr(joined, key) for joined in getattr(entry, field.name).all()}
    return values
