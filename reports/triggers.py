"""Triggers that do something after a row changed, the same in both databases."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from django.db import connection, connections

EVENTS = {"INSERT": "NEW", "UPDATE": "NEW", "DELETE": "OLD"}


@dataclass(frozen=True)
class Trigger:
    """``does``: the statement run after ``event`` of a row of ``table``, with the row as OLD and NEW."""

    name: str
    table: str
    event: str
    does: str


def lay(using: str, triggers: Iterable[Trigger]) -> None:
    """Lay those whose table is there. Safe to repeat."""
    database = connections[using]
    tables = set(database.introspection.table_names())
    with database.cursor() as cursor:
        for one in triggers:
            if one.table not in tables:
                continue
            if database.vendor == "sqlite":
                cursor.execute(f"DROP TRIGGER IF EXISTS {one.name}")
                cursor.execute(
                    f"CREATE TRIGGER {one.name} AFTER {one.event} ON {one.table} BEGIN {one.does}; END"
                )
            else:
                cursor.execute(
                    f"CREATE OR REPLACE FUNCTION {one.name}() RETURNS trigger AS $$ BEGIN {one.does}; "
                    f"RETURN NULL; END $$ LANGUAGE plpgsql; CREATE OR REPLACE TRIGGER {one.name} "
                    f"AFTER {one.event} ON {one.table} FOR EACH ROW EXECUTE FUNCTION {one.name}()"
                )


@contextmanager
def put_aside(tables: Sequence[str]) -> Iterator[None]:
    """Within a transaction: nothing is checked, noted or refused by a trigger as rows are written to
    ``tables``; foreign keys are. For records made or restored as a whole, whose marks the caller sees to."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            laid = cursor.fetchall()
            for name, _ in laid:
                cursor.execute(f"DROP TRIGGER {name}")
            yield
            for _, sql in laid:
                cursor.execute(sql)
        else:
            for table in tables:
                cursor.execute(f'ALTER TABLE "{table}" DISABLE TRIGGER USER')
            yield
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            for table in tables:
                cursor.execute(f'ALTER TABLE "{table}" ENABLE TRIGGER USER')
