"""The database of the tests for another process to open. Rows must be committed to be seen there."""

import sqlite3
from contextlib import closing
from urllib.parse import quote

from django.db import connection


def url_for_another_process(path):
    """The URL of the database; one of SQLite, whose file the next test empties, as a copy at ``path``."""
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        with closing(sqlite3.connect(path)) as copy:
            connection.connection.backup(copy)
        return f"sqlite:///{path}"
    told = connection.settings_dict
    where = f"{told['HOST']}:{told['PORT']}/{told['NAME']}"
    return f"postgres://{quote(told['USER'])}:{quote(told['PASSWORD'])}@{where}"
