"""The tables of a database, SQLite or PostgreSQL: read as of one moment, laid anew, and filled again."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import TextIOWrapper
from itertools import islice
from typing import IO, Any

from django.contrib.sessions.models import Session
from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from reports.backup import rows

Key = tuple[str, str]  # app and name of a migration
Condition = tuple[str, Sequence[Any]]  # SQL after the table's name, and what is put into it

MIGRATIONS = MigrationRecorder.Migration._meta.db_table
# Whoever is signed in signs in again; attempts to sign in (the settings' CACHES) are counted anew.
LEFT_OUT = {MIGRATIONS, Session._meta.db_table, "attempts"}
ALL: Condition = ("", ())
_ROWS_AT_ONCE = 1000
_PIECE_BYTES = 1024 * 1024
# On SQLite a transaction that only reads waits for no writer, and none for it.
_BEGIN = {
    "sqlite": "BEGIN",
    "postgresql": (
        "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY;"
        " SET LOCAL datestyle = 'ISO'; SET LOCAL bytea_output = 'hex'"
    ),
}


# ---- Out ----


@contextmanager
def of_one_moment(database: BaseDatabaseWrapper) -> Iterator[Any]:
    """A cursor whose reads are all of one moment, while others go on writing."""
    with database.cursor() as cursor:
        cursor.execute(_BEGIN[database.vendor])
        try:
            yield cursor
        finally:
            cursor.execute("ROLLBACK")


def names(database: BaseDatabaseWrapper, cursor: Any) -> list[str]:
    """The tables whose rows are kept."""
    there = database.introspection.table_names(cursor)
    return sorted(name for name in there if name not in LEFT_OUT and not name.startswith("sqlite_"))


def applied(cursor: Any) -> list[Key]:
    """The migrations that say how the tables are laid out."""
    cursor.execute(f"SELECT app, name FROM {MIGRATIONS} ORDER BY id")
    return cursor.fetchall()


def columns(cursor: Any, table: str) -> list[str]:
    cursor.execute(f'SELECT * FROM "{table}" LIMIT 0')
    return [column[0] for column in cursor.description]


def count(cursor: Any, table: str, only: Condition = ALL) -> int:
    condition, given = only
    cursor.execute(f'SELECT COUNT(*) FROM "{table}"{condition}', given)
    return cursor.fetchone()[0]


def last_key(database: BaseDatabaseWrapper, cursor: Any, table: str) -> int | None:
    """The last key that the table gave, so that none is given twice; None where it gives none."""
    if database.vendor == "sqlite":
        cursor.execute("SELECT seq FROM sqlite_sequence WHERE name = %s", [table])
    elif sequences := database.introspection.get_sequences(cursor, table):
        cursor.execute(f'SELECT last_value FROM "{sequences[0]["name"]}"')
    else:
        return None
    found = cursor.fetchone()
    return found[0] if found else None


def write(
    database: BaseDatabaseWrapper, cursor: Any, table: str, names: Sequence[str], only: Condition = ALL
) -> Iterator[bytes]:
    """The rows as lines (``rows``), piece by piece."""
    condition, given = only
    chosen = f'SELECT {_quoted(names)} FROM "{table}"{condition}'
    if database.vendor == "postgresql":
        with cursor.copy(f"COPY ({database.ops.compose_sql(chosen, given)}) TO STDOUT") as copy:
            yield from map(bytes, copy)
        return
    cursor.execute(chosen, given)
    while found := cursor.fetchmany(_ROWS_AT_ONCE):
        yield "".join(map(rows.line, found)).encode()


def migrations_wait() -> bool:
    """Whether the database is older than the program."""
    with connection.cursor() as cursor:
        return bool(known_migrations() - set(applied(cursor)))


# ---- In ----


def known_migrations() -> set[Key]:
    return set(MigrationLoader(None, ignore_no_migrations=True).disk_migrations)


def lay(migrations: Sequence[Key]) -> None:
    """Have the tables laid as those migrations leave them: where they are not, all are dropped and laid anew.
    No record may be in them."""
    there = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if MIGRATIONS in there and set(applied(cursor)) == set(migrations):
            return
    ours = [*connection.introspection.django_table_names(only_existing=True), MIGRATIONS]
    with connection.schema_editor() as editor:
        for table in sorted(there.intersection(ours)):
            editor.execute(editor.sql_delete_table % {"table": editor.quote_name(table)})
    executor, reached = MigrationExecutor(connection), set(migrations)
    nodes = executor.loader.graph.node_map
    last = [key for key in migrations if not any(child.key in reached for child in nodes[key].children)]
    executor.migrate(last)


def empty(cursor: Any, tables: Sequence[str]) -> None:
    for table in tables:
        cursor.execute(f'DELETE FROM "{table}"')


def read(cursor: Any, table: str, names: Sequence[str], source: IO[bytes]) -> None:
    """Enter the rows that ``write`` gave. Foreign keys are looked at when the transaction ends."""
    if connection.vendor == "postgresql":
        statement = f'COPY "{table}" ({_quoted(names)}) FROM STDIN'
        with connection.wrap_database_errors, cursor.copy(statement) as copy:
            while piece := source.read(_PIECE_BYTES):
                copy.write(piece)
        return
    declared = _declared(cursor, table)
    found = rows.values(TextIOWrapper(source, "utf-8", newline="\n"), [declared[name] for name in names])
    insert = f'INSERT INTO "{table}" ({_quoted(names)}) VALUES ({", ".join(["%s"] * len(names))})'
    while some := list(islice(found, _ROWS_AT_ONCE)):
        cursor.executemany(insert, some)


def _declared(cursor: Any, table: str) -> dict[str, str]:
    """The type of each column as SQLite was told it."""
    cursor.execute(f'PRAGMA table_info("{table}")')
    return {name: declared for _, name, declared, *_ in cursor.fetchall()}


def set_last_key(cursor: Any, table: str, key: int) -> None:
    """Have the table go on counting after ``key``."""
    if connection.vendor == "sqlite":
        cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [table])
        cursor.execute("INSERT INTO sqlite_sequence (name, seq) VALUES (%s, %s)", [table, key])
        return
    sequence = connection.introspection.get_sequences(cursor, table)[0]
    cursor.execute("SELECT setval(%s, %s)", [f'"{sequence["name"]}"', key])


def _quoted(names: Sequence[str]) -> str:
    return ", ".join(f'"{name}"' for name in names)
