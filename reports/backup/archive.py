"""The whole record in one file, and back: every row, every photograph and PDF, and the SHA-256 of each.

A ZIP. ``manifest.json`` says what is in it; each table is a file of lines (``rows``) that SQLite and
PostgreSQL both give and take, so what one wrote the other restores. All rows are of one moment, and people go
on working meanwhile; files are taken after them, so that none which they name is left out.
"""

import hashlib
import json
import zipfile
from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import PurePosixPath
from typing import Any, BinaryIO

from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.utils import timezone

from inspections.models import Firm, Member
from reports import kept_pdf
from reports.backup import files, tables
from reports.backup.of_firm import chosen
from reports.triggers import put_aside

FORMAT = 2
MANIFEST, TABLES, MEDIA = "manifest.json", "tables/", "media/"
PIECE_BYTES = 1024 * 1024
DAMAGED = "The file is damaged, or is not a backup."


class BackupRefused(ValueError):
    """Why a backup was not written or not restored. No row was changed."""


def write_backup(
    target: BinaryIO, *, database: BaseDatabaseWrapper = connection, firm: str = "", with_files: bool = True
) -> dict[str, Any]:
    """Write the whole record to ``target``; with ``firm``, the rows of that one alone. Its manifest,
    in which ``files`` are those that the rows name."""
    manifest = {
        "format": FORMAT,
        "made_at": timezone.now().isoformat(),
        "database": database.vendor,
        "columns": {},
        "rows": {},
        "last_keys": {},
        "files": [],
        "sha256": {},
    }
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        with tables.of_one_moment(database) as cursor:
            _write_tables(archive, manifest, database, cursor, firm)
        for name in _media() if with_files else ():
            with default_storage.open(name, "rb") as source:
                _put(archive, manifest, MEDIA + name, _pieces(source))
        archive.writestr(MANIFEST, json.dumps(manifest, indent=1, sort_keys=True))
    return manifest


def lost_files(manifest: dict[str, Any]) -> Iterator[str]:
    """What a backup lacks of the files that its rows name, a sentence for each."""
    written = manifest["sha256"]
    for name in manifest["files"]:
        if MEDIA + name not in written:
            yield f"The record names the file {name}, which is missing."
        elif name.startswith(kept_pdf.FOLDER) and name != kept_pdf.name_of(written[MEDIA + name]):
            yield f"The file {name} is not the PDF that was kept."


def _write_tables(archive, manifest, database, cursor, firm):
    manifest["migrations"] = tables.applied(cursor)
    only = _of_firm(database, cursor, firm, set(manifest["migrations"])) if firm else {}
    for table in tables.names(database, cursor):
        condition = only.get(table, tables.ALL)
        columns = manifest["columns"][table] = tables.columns(cursor, table)
        manifest["rows"][table] = tables.count(cursor, table, condition)
        manifest["files"] += files.named(cursor, table, columns, condition)
        if key := tables.last_key(database, cursor, table):
            manifest["last_keys"][table] = key
        _put(archive, manifest, TABLES + table, tables.write(database, cursor, table, columns, condition))


def _of_firm(database, cursor, name, migrations):
    if migrations != tables.known_migrations():
        raise BackupRefused("That database is of another version. Run migrate there first.")
    cursor.execute(f"SELECT id, sample_of_id FROM {Firm._meta.db_table} WHERE name = %s", [name])
    if not (found := cursor.fetchone()):
        raise BackupRefused(f"There is no firm called {name}.")
    firm, sample_of = found
    if sample_of:
        raise BackupRefused(f"{name} is a sample firm, which goes nowhere. Name the firm of a record.")
    return chosen(database, firm)


def read_backup(source: BinaryIO) -> dict[str, Any]:
    """Restore into this empty installation. The manifest.

    Everything in the file is held to its hash first. The tables are laid as they were when it was made,
    filled in one transaction, and migrated to today's; so a restore that was stopped left no row and is run
    again. Raises BackupRefused, with no row entered, where the installation is not empty, the file is
    damaged, or a newer program wrote it.
    """
    if holds_a_record():
        raise BackupRefused("This installation holds a record already. Restore into an empty one.")
    try:
        with zipfile.ZipFile(source) as archive:
            manifest = _checked(archive)
            _read_files(archive, manifest)
            tables.lay(list(map(tuple, manifest["migrations"])))
            try:
                _read_tables(archive, manifest)
            finally:
                call_command("migrate", verbosity=0)
    except (zipfile.BadZipFile, zipfile.zlib.error, EOFError) as error:
        raise BackupRefused(DAMAGED) from error
    except DatabaseError as error:
        raise BackupRefused(f"The database refuses what is in the file: {error}") from error
    return manifest


def holds_a_record() -> bool:
    """Whether the database has anything that would be written over. All of a record belongs to a firm."""
    there = connection.introspection.table_names()
    with connection.cursor() as cursor:
        return any(
            model._meta.db_table in there and tables.count(cursor, model._meta.db_table)
            for model in (Firm, Member)
        )


def _read_tables(archive, manifest):
    with transaction.atomic(), connection.cursor() as cursor:
        there = tables.names(connection, cursor)
        with put_aside(there):
            tables.empty(cursor, there)
            _fill(archive, manifest, cursor)


def _fill(archive, manifest, cursor):
    for table, columns in manifest["columns"].items():
        with archive.open(TABLES + table) as lines:
            tables.read(cursor, table, columns, lines)
        there, written = tables.count(cursor, table), manifest["rows"][table]
        if there != written:
            raise BackupRefused(f"{table}: {written} rows were written, {there} came back.")
    for table, key in manifest["last_keys"].items():
        tables.set_last_key(cursor, table, key)


def _read_files(archive, manifest):
    """Those that are there already, of a restore that was stopped, stay."""
    for entry, sha256 in manifest["sha256"].items():
        if not entry.startswith(MEDIA):
            continue
        name = entry.removeprefix(MEDIA)
        if not default_storage.exists(name):
            with archive.open(entry) as file:
                default_storage.save(name, file)
            continue
        with default_storage.open(name, "rb") as there:
            if _sha256(there) != sha256:
                raise BackupRefused(f"The file {name} already exists and is different. Move it away.")


def _put(archive, manifest, name, pieces: Iterable[bytes]):
    digest = hashlib.sha256()
    with archive.open(name, "w", force_zip64=True) as entry:
        for piece in pieces:
            digest.update(piece)
            entry.write(piece)
    manifest["sha256"][name] = digest.hexdigest()


def _pieces(source) -> Iterator[bytes]:
    return iter(partial(source.read, PIECE_BYTES), b"")


def _sha256(source) -> str:
    digest = hashlib.sha256()
    for piece in _pieces(source):
        digest.update(piece)
    return digest.hexdigest()


def _checked(archive):
    """The manifest, once everything it names is there and as it was, and nothing else is."""
    names = archive.namelist()
    if MANIFEST not in names:
        raise BackupRefused("The file is not a backup: it has no manifest.")
    manifest = json.loads(archive.read(MANIFEST))
    if manifest["format"] != FORMAT:
        raise BackupRefused(f"The backup is of format {manifest['format']}; this program reads {FORMAT}.")
    if unknown := sorted(set(map(tuple, manifest["migrations"])) - tables.known_migrations()):
        raise BackupRefused(f"A newer program made the backup: {unknown[0]} is not known here. Update first.")
    if sorted(names) != sorted([MANIFEST, *manifest["sha256"]]):
        raise BackupRefused("The file is damaged: what is in it is not what its manifest names.")
    for name, sha256 in manifest["sha256"].items():
        if ".." in PurePosixPath(name).parts:
            raise BackupRefused(f"The file is damaged: {name} lies outside.")
        with archive.open(name) as entry:
            if _sha256(entry) != sha256:
                raise BackupRefused(f"The file is damaged: {name} is not what was backed up.")
    return manifest


def _media(folder: str = "") -> Iterator[str]:
    """Every file of the storage's folder, and of those below it."""
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    yield from sorted(f"{folder}{name}" for name in files)
    for name in sorted(folders):
        yield from _media(f"{folder}{name}/")
