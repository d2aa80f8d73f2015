"""Rows as lines: what PostgreSQL's COPY writes is what SQLite keeps, and the other way.

The form of the lines is that of the manual of PostgreSQL, COPY, "Text Format".
"""

import re
from datetime import date, datetime

import pytest
from django.db import connection

from reports.backup import rows

# declared for SQLite, as Django has SQLite give it, as COPY writes it, as SQLite keeps it
CELLS = [
    ("bigint", 7, "7", "7"),
    ("bool", True, "t", True),
    ("bool", False, "f", False),
    ("decimal", 0.61, "0.61", "0.61"),
    ("real", 0.1, "0.1", "0.1"),
    ("date", date(2026, 11, 25), "2026-11-25", "2026-11-25"),
    ("datetime", datetime(2026, 11, 25, 16, 0, 5), "2026-11-25 16:00:05+00", "2026-11-25 16:00:05"),  # noqa: DTZ001
    ("varchar(16)", "", "", ""),
    ("varchar(16)", r"\N", r"\\N", r"\N"),
    ("varchar(16)", "✓", "✓", "✓"),
    ("text", "two\nlines\tand\r\\a stroke", r"two\nlines\tand\r\\a stroke", "two\nlines\tand\r\\a stroke"),
    ("text", '{"a": "b\\n"}', r'{"a": "b\\n"}', '{"a": "b\\n"}'),
    ("BLOB", b"\x00\xff", r"\\x00ff", b"\x00\xff"),
    ("BLOB", b"", r"\\x", b""),
    ("text", None, r"\N", None),
]


@pytest.mark.parametrize(("declared", "given", "text", "kept"), CELLS)
def test_a_cell_is_written_and_read_as_copy_does(declared, given, text, kept):
    assert rows.line([given]) == f"{text}\n"
    assert list(rows.values([f"{text}\n"], [declared])) == [[kept]]


def test_part_of_a_second_is_kept_as_django_writes_it_so_that_it_is_found_again():
    # PostgreSQL leaves out the noughts at its end.
    ((kept,),) = rows.values(["2026-11-25 16:00:05.25+00\n"], ["datetime"])
    assert kept == "2026-11-25 16:00:05.250000"


def test_signs_that_copy_writes_short_are_understood():
    ((kept,),) = rows.values([r"\b\f\v" + "\n"], ["text"])
    assert kept == "\b\f\v"


@pytest.mark.skipif(connection.vendor != "sqlite", reason="SQLite says how columns were declared")
@pytest.mark.django_db
def test_every_column_is_of_a_kind_that_both_databases_write_alike():
    """Others (uuid, interval, inet) would need a line of their own in ``rows``."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT m.name, c.name, c.type FROM sqlite_master m, pragma_table_info(m.name) c"
            " WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite_%'"
        )
        columns = cursor.fetchall()
    alike = re.compile(
        r"((big|small)int|integer)( unsigned)?|bool|date(time)?|decimal|real|text|BLOB|varchar\(\d+\)",
        re.IGNORECASE,
    )
    assert len(columns) > 500
    assert [column for column in columns if not alike.fullmatch(column[2])] == []
