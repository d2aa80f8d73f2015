"""The whole record in one file, and back: database, photographs, and the SHA-256 of each.

A ZIP. ``manifest.json`` says what is in it. On SQLite the database is a copy made by SQLite's own online
backup, on PostgreSQL every table as COPY writes it, all of one moment; both while people go on working.
Photographs are taken after the database, so that none which it names is left out.
"""

import hashlib
import json
import shutil
import sqlite3
import tempfile
import zipfile
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import Any, BinaryIO

from django.apps import apps
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import connection, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from inspections.models import Firm, Member

FORMAT = 1
MANIFEST, SQLITE, TABLES, MEDIA = "manifest.json", "database.sqlite3", "tables/", "media/"
MIGRATIONS = MigrationRecorder.Migration._meta.db_table
PIECE_BYTES = 1024 * 1024


class BackupRefused(ValueError):
    """Why a backup was not restored. Nothing was changed."""


def write_backup(target: BinaryIO) -> dict[str, Any]:
    """Write the whole record to ``target``. Its manifest."""
    manifest = {
        "format": FORMAT,
        "made_at": timezone.now().isoformat(),
        "database": connection.vendor,
        "sha256": {},
    }
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        write_database = _write_sqlite if connection.vendor == "sqlite" else _write_postgresql
        write_database(archive, manifest)
        for name in _media():
            with default_storage.open(name, "rb") as source:
                _put(archive, manifest, MEDIA + name, source)
        archive.writestr(MANIFEST, json.dumps(manifest, indent=1, sort_keys=True))
    return manifest


def read_backup(source: BinaryIO) -> dict[str, Any]:
    """Restore into this empty installation. The manifest.

    Everything in the file is held to its hash first. Raises BackupRefused, with nothing changed, where the
    installation is not empty, the file is damaged, or another database or a newer program wrote it.
    """
    if Firm.objects.exists() or Member.objects.exists() or next(_media(), None):
        raise BackupRefused("This installation holds a record already. Restore into an empty one.")
    try:
        with zipfile.ZipFile(source) as archive:
            manifest = _checked(archive)
            if manifest["database"] == "sqlite":
                _read_sqlite(archive, manifest)
            else:
                _read_postgresql(archive, manifest)
            for name in manifest["sha256"]:
                if name.startswith(MEDIA):
                    with archive.open(name) as photograph:
                        default_storage.save(name.removeprefix(MEDIA), photograph)
    except (zipfile.BadZipFile, zipfile.zlib.error, EOFError) as error:
        raise BackupRefused("The file is damaged, or is no backup.") from error
    return manifest


def _put(archive, manifest, name, source):
    digest = hashlib.sha256()
    with archive.open(name, "w", force_zip64=True) as entry:
        while piece := source.read(PIECE_BYTES):
            digest.update(piece)
            entry.write(piece)
    manifest["sha256"][name] = digest.hexdigest()


def _checked(archive):
    """The manifest, once everything it names is there and as it was, and nothing else is."""
    names = archive.namelist()
    if MANIFEST not in names:
        raise BackupRefused("The file is no backup: it has no manifest.")
    manifest = json.loads(archive.read(MANIFEST))
    if manifest["format"] != FORMAT:
        raise BackupRefused(f"The backup is of format {manifest['format']}; this program reads {FORMAT}.")
    if manifest["database"] != connection.vendor:
        raise BackupRefused(
            f"The backup is of {manifest['database']}, this database is {connection.vendor}. "
            "Restore it where DATABASE_URL names the same kind."
        )
    if unknown := sorted(set(map(tuple, manifest["migrations"])) - set(_known_migrations())):
        raise BackupRefused(f"A newer program made the backup: {unknown[0]} is not known here. Update first.")
    if sorted(names) != sorted([MANIFEST, *manifest["sha256"]]):
        raise BackupRefused("The file is damaged: what is in it is not what its manifest names.")
    for name, sha256 in manifest["sha256"].items():
        if ".." in PurePosixPath(name).parts:
            raise BackupRefused(f"The file is damaged: {name} lies outside.")
        with archive.open(name) as entry:
            if hashlib.file_digest(entry, "sha256").hexdigest() != sha256:
                raise BackupRefused(f"The file is damaged: {name} is not what was backed up.")
    return manifest


def _known_migrations():
    return MigrationLoader(None, ignore_no_migrations=True).disk_migrations


def _media(folder: str = "") -> Iterator[str]:
    """Every file of the photographs' folder, and of those below it."""
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    yield from sorted(f"{folder}{name}" for name in files)
    for name in sorted(folders):
        yield from _media(f"{folder}{name}/")


# ---- SQLite ----


def _write_sqlite(archive, manifest):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / SQLITE
        connection.ensure_connection()
        copy = sqlite3.connect(path)
        connection.connection.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")
        tables = [
            name
            for (name,) in copy.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
            if not name.startswith("sqlite_")
        ]
        manifest["rows"] = {
            name: copy.execute(f'SELECT COUNT(*) FROM "{name}"').fetchone()[0] for name in tables
        }
        manifest["migrations"] = copy.execute(f"SELECT app, name FROM {MIGRATIONS}").fetchall()
        copy.close()
        with path.open("rb") as source:
            _put(archive, manifest, SQLITE, source)


def _read_sqlite(archive, manifest):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / SQLITE
        with archive.open(SQLITE) as source, path.open("wb") as target:
            shutil.copyfileobj(source, target)
        copy = sqlite3.connect(path)
        sound = copy.execute("PRAGMA integrity_check").fetchone()[0]
        if sound != "ok":
            raise BackupRefused(f"The database in the file is damaged: {sound}")
        connection.ensure_connection()
        copy.backup(connection.connection)
        copy.close()
    connection.close()
    call_command("migrate", verbosity=0)


# ---- PostgreSQL ----


def _write_postgresql(archive, manifest):
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        manifest["rows"], manifest["columns"] = {}, {}
        cursor.execute(f"SELECT app, name FROM {MIGRATIONS}")
        manifest["migrations"] = cursor.fetchall()
        for table in _tables(cursor):
            description = connection.introspection.get_table_description(cursor, table)
            columns = manifest["columns"][table] = [column.name for column in description]
            cursor.execute(f'SELECT COUNT(*) FROM "{table}"')
            manifest["rows"][table] = cursor.fetchone()[0]
            with tempfile.TemporaryFile() as rows:
                with cursor.copy(f'COPY "{table}" ({_quoted(columns)}) TO STDOUT') as copy:
                    for piece in copy:
                        rows.write(piece)
                rows.seek(0)
                _put(archive, manifest, f"{TABLES}{table}", rows)


def _read_postgresql(archive, manifest):
    here = set(MigrationRecorder(connection).applied_migrations())
    if here != set(map(tuple, manifest["migrations"])):
        raise BackupRefused(
            "An older program made the backup. Restore it with that version, then update and migrate."
        )
    with transaction.atomic(), connection.cursor() as cursor:
        tables = _tables(cursor)
        for table in tables:
            cursor.execute(f'ALTER TABLE "{table}" DISABLE TRIGGER USER')
        names = ", ".join(f'"{table}"' for table in tables)
        cursor.execute(f"TRUNCATE {names}")
        for table, columns in manifest["columns"].items():
            with (
                archive.open(f"{TABLES}{table}") as rows,
                cursor.copy(f'COPY "{table}" ({_quoted(columns)}) FROM STDIN') as copy,
            ):
                while piece := rows.read(PIECE_BYTES):
                    copy.write(piece)
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        for table in tables:
            cursor.execute(f'ALTER TABLE "{table}" ENABLE TRIGGER USER')
        models = apps.get_models(include_auto_created=True)
        for statement in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(statement)


def _tables(cursor):
    """All but the list of migrations, which says how the others are laid out."""
    return [name for name in connection.introspection.table_names(cursor) if name != MIGRATIONS]


def _quoted(columns):
    return ", ".join(f'"{column}"' for column in columns)
