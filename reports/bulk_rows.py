"""Rows of one table written many at once, with keys of our own."""

from functools import cache
from typing import Any

from django.db import connection
from django.db.models import Max, Model


class BulkRows:
    """Rows of one table on their way in. Columns not given take what is usual for the model."""

    def __init__(self, model: type[Model]):
        fields = model._meta.concrete_fields
        self._place = {field.attname: number for number, field in enumerate(fields)}
        self._field = {field.attname: field for field in fields}
        self._usual = [_for_database(field, field.get_default()) for field in fields]
        columns = ", ".join(connection.ops.quote_name(field.column) for field in fields)
        marks = ", ".join(["%s"] * len(fields))
        self._sql = f"INSERT INTO {model._meta.db_table} ({columns}) VALUES ({marks})"
        self._key = model._meta.pk.attname
        self._next = (model._default_manager.aggregate(top=Max(self._key))["top"] or 0) + 1
        self._rows: list[list[Any]] = []

    def add(self, **values: Any) -> int:
        """Add a row; returns its key."""
        row = self._usual.copy()
        for name, value in values.items():
            if value is not None and not isinstance(value, str | int):
                value = _for_database(self._field[name], value)
            row[self._place[name]] = value
        key = self._next
        row[self._place[self._key]] = key
        self._next += 1
        self._rows.append(row)
        return key

    def write(self) -> None:
        with connection.cursor() as cursor:
            cursor.executemany(self._sql, self._rows)
        self._rows.clear()


def _for_database(field, value):
    return _prepared(field, value) if value.__hash__ else field.get_db_prep_save(value, connection)


@cache
def _prepared(field, value):
    return field.get_db_prep_save(value, connection)
