"""One file out, the same record back; and no damaged, foreign or second one in."""

import hashlib
import io
import json
import os
import shutil
import struct
import subprocess
import sys
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest
import time_machine
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection
from django.db.migrations.recorder import MigrationRecorder

from inspections.models import Client, Firm
from reports import kept_pdf
from reports.backup import tables
from reports.backup.archive import BackupRefused, read_backup, write_backup
from reports.backup.sealed import PIECE_BYTES, SealBroken, is_sealed, seal, unseal
from reports.models import IssuedRecord
from reports.verify import verify_chain
from tests.factories import ParallelLoadFactory
from tests.released.rows import FOLDER, read
from tests.reports.backup.conftest import PHOTOGRAPH, contents, empty

ROOT = Path(__file__).parents[3]
emptied = pytest.mark.django_db(transaction=True)


def backed_up():
    target = io.BytesIO()
    write_backup(target)
    return target


def emptied_of_all(photographs):
    empty()
    for path in photographs.rglob("*.*"):
        path.unlink()


@emptied
def test_what_is_restored_is_what_was_backed_up(photographs, record):
    before, backup, pdf = contents(), backed_up(), kept_pdf.read(record)
    emptied_of_all(photographs)
    assert not Firm.objects.exists()

    manifest = read_backup(backup)

    assert contents() == before
    assert manifest["rows"]["inspections_firm"] == Firm.objects.count()
    assert (photographs / "observations/1/photo.jpg").read_bytes() == PHOTOGRAPH
    assert verify_chain(record.firm) is None
    assert kept_pdf.read(record) == pdf
    assert not Session.objects.exists()


@emptied
def test_no_key_is_given_twice_though_its_row_was_deleted(photographs, record):
    # Its history keeps the key, and must not become that of another row.
    last = Client.objects.create(firm=record.firm, name="Entered by mistake")
    last_key = last.pk
    last.delete()
    backup = backed_up()
    emptied_of_all(photographs)

    read_backup(backup)

    assert Client.objects.create(firm=record.firm, name="The next").pk > last_key


@emptied
def test_the_database_keeps_watch_over_what_was_restored(photographs, record):
    backup = backed_up()
    emptied_of_all(photographs)
    read_backup(backup)

    with pytest.raises(IntegrityError, match="an issued record never changes"):
        IssuedRecord.objects.update(number=99)


@emptied
def test_a_restore_that_was_stopped_left_no_row_and_is_run_again(photographs, record, monkeypatch):
    before, backup = contents(), backed_up()
    emptied_of_all(photographs)
    usual, tables_read = tables.read, []

    def stopped(cursor, table, names, source):
        if len(tables_read) == 20:
            raise KeyboardInterrupt
        tables_read.append(table)
        usual(cursor, table, names, source)

    with monkeypatch.context() as patch:
        patch.setattr(tables, "read", stopped)
        with pytest.raises(KeyboardInterrupt):
            read_backup(backup)
    assert not Firm.objects.exists()
    assert not Client.objects.exists()

    read_backup(backup)

    assert contents() == before


@emptied
def test_a_photograph_of_the_same_name_is_not_written_over(photographs, record):
    backup = backed_up()
    emptied_of_all(photographs)
    default_storage.save("observations/1/photo.jpg", ContentFile(b"another"))

    with pytest.raises(BackupRefused, match=r"observations/1/photo.jpg already exists and is different"):
        read_backup(backup)

    assert not Firm.objects.exists()


@emptied
@pytest.mark.parametrize(
    ("lose", "said"),
    [
        (Path.unlink, "The record names the file {}, which is missing."),
        (lambda file: file.write_bytes(b"another"), "The file {} is not the PDF that was kept."),
    ],
)
def test_a_pdf_that_is_lost_is_told_and_the_rest_is_backed_up(
    photographs, record, tmp_path, lose, said, capsys
):
    name = kept_pdf.name_of(record.pdf_sha256)
    lose(photographs / name)
    backup = tmp_path / "record.backup"

    call_command("backup", str(backup))

    assert capsys.readouterr().err == said.format(name) + "\n"
    emptied_of_all(photographs)
    with pytest.raises(CommandError, match=f"{record} does not hold: its PDF, the file {name}"):
        call_command("restore", str(backup))
    assert (photographs / "observations/1/photo.jpg").read_bytes() == PHOTOGRAPH


@emptied
def test_a_photograph_that_is_missing_is_told(photographs, tmp_path, capsys):
    ParallelLoadFactory(photo="loads/2/photo.jpg")
    call_command("backup", str(tmp_path / "record.backup"))
    assert capsys.readouterr().err == "The record names the file loads/2/photo.jpg, which is missing.\n"


@emptied
def test_what_the_database_would_not_keep_is_refused_and_no_row_stays(photographs, record):
    def of_no_firm(name, content):
        # A client of a firm that is not there: the hash is that of what is in the file.
        if name == "tables/inspections_firm":
            return b""
        if name == "manifest.json":
            manifest = json.loads(content)
            manifest["rows"]["inspections_firm"] = 0
            manifest["sha256"]["tables/inspections_firm"] = hashlib.sha256(b"").hexdigest()
            return json.dumps(manifest)
        return content

    backup = altered(backed_up(), of_no_firm)
    emptied_of_all(photographs)

    with pytest.raises(BackupRefused, match="The database refuses what is in the file"):
        read_backup(backup)

    assert not Client.objects.exists()


@emptied
def test_a_backup_of_the_first_version_is_restored_and_migrated(photographs):
    """``tests/released/first.backup`` was made with the migrations that ``first.json.gz`` names."""
    kept = read("first")
    first = (FOLDER / "first.backup").read_bytes()

    read_backup(io.BytesIO(first))

    with connection.cursor() as cursor:
        assert set(tables.applied(cursor)) == tables.known_migrations()
    del kept["rows"]["reports.AuditMark"]  # later migrations mark what is to be worked out anew
    counts = {label: apps.get_model(label)._base_manager.count() for label in kept["rows"]}
    assert counts == {label: len(rows) for label, rows in kept["rows"].items()}
    record = IssuedRecord.objects.get()
    assert verify_chain(record.firm) is None
    assert kept_pdf.read(record).startswith(b"%PDF-")


@emptied
def test_a_record_that_is_there_is_never_written_over(photographs, record):
    backup = backed_up()
    Client.objects.update(name="Since then")

    with pytest.raises(BackupRefused, match="holds a record already"):
        read_backup(backup)

    assert set(Client.objects.values_list("name", flat=True)) == {"Since then"}


def altered(backup, change):
    """The backup with ``change(name, bytes)`` in place of each file in it."""
    target = io.BytesIO()
    with zipfile.ZipFile(backup) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            content = change(name, old.read(name))
            if content is not None:
                new.writestr(name, content)
    return target


def _other_photograph(name, content):
    return b"another" if name.startswith("media/observations/") else content


def _without_photograph(name, content):
    return None if name.startswith("media/") else content


def _of_the_future(name, content):
    if name != "manifest.json":
        return content
    manifest = json.loads(content)
    manifest["migrations"].append(["inspections", "9999_later"])
    return json.dumps(manifest)


@emptied
@pytest.mark.parametrize(
    ("change", "said"),
    [
        (_other_photograph, "damaged: media/observations/1/photo.jpg is not what was backed up"),
        (_without_photograph, "damaged: what is in it is not what its manifest names"),
        (_of_the_future, "A newer program made the backup"),
    ],
)
def test_a_backup_that_does_not_hold_is_refused_and_nothing_is_changed(photographs, record, change, said):
    backup = altered(backed_up(), change)
    emptied_of_all(photographs)

    with pytest.raises(BackupRefused, match=said):
        read_backup(backup)

    assert not Firm.objects.exists()
    assert list(photographs.rglob("*.*")) == []


def wrong_bytes(backup):
    """The backup with one bit changed in the middle of each thing in it, one at a time."""
    good = backup.getvalue()
    with zipfile.ZipFile(backup) as archive:
        entries = [entry for entry in archive.infolist() if entry.compress_size > 2]
    for entry in entries:
        data = bytearray(good)
        name_bytes, extra_bytes = struct.unpack_from("<HH", data, entry.header_offset + 26)
        data[entry.header_offset + 30 + name_bytes + extra_bytes + entry.compress_size // 2] ^= 1
        yield entry.filename, io.BytesIO(data)


@emptied
def test_one_wrong_bit_in_anything_is_refused(photographs, record):
    backup = backed_up()
    emptied_of_all(photographs)
    tried = set()

    for name, damaged in wrong_bytes(backup):
        with pytest.raises(BackupRefused, match="damaged"):
            read_backup(damaged)
        tried.add(name)

    pdf = f"media/{kept_pdf.name_of(record.pdf_sha256)}"
    assert tried >= {"manifest.json", "media/observations/1/photo.jpg", pdf}
    assert not Firm.objects.exists()


@emptied
def test_half_a_file_is_refused(photographs, record):
    data = backed_up().getvalue()
    emptied_of_all(photographs)
    with pytest.raises(BackupRefused, match="damaged, or is not a backup"):
        read_backup(io.BytesIO(data[: len(data) // 2]))


# Under a passphrase


@pytest.mark.parametrize("size", [0, 1, PIECE_BYTES, PIECE_BYTES + 1, 2 * PIECE_BYTES])
def test_what_is_unsealed_is_what_was_sealed(size):
    plain, sealed, back = os.urandom(size), io.BytesIO(), io.BytesIO()
    seal(io.BytesIO(plain), sealed, "a passphrase")
    sealed.seek(0)
    assert is_sealed(sealed)
    sealed.seek(0)
    unseal(sealed, back, "a passphrase")
    assert back.getvalue() == plain
    assert size < 16 or plain[:16] not in sealed.getvalue()


def test_another_passphrase_a_changed_byte_or_a_missing_end_is_refused():
    sealed = io.BytesIO()
    seal(io.BytesIO(os.urandom(PIECE_BYTES + 100)), sealed, "a passphrase")
    good = sealed.getvalue()
    wrong = bytearray(good)
    wrong[200] ^= 1
    tries = [(good, "another"), (bytes(wrong), "a passphrase"), (good[: -100 - 16], "a passphrase")]
    for data, passphrase in tries:
        with pytest.raises(SealBroken):
            unseal(io.BytesIO(data), io.BytesIO(), passphrase)


@emptied
def test_the_commands_write_a_sealed_file_and_read_it_back(photographs, record, tmp_path, capsys):
    before = contents()
    key, file = tmp_path / "key", tmp_path / "record.backup"
    key.write_text("a passphrase\n", encoding="utf-8")
    call_command("backup", str(file), passphrase_file=key)
    with pytest.raises(CommandError, match="already exists"):
        call_command("backup", str(file))
    emptied_of_all(photographs)
    key.write_text("another\n", encoding="utf-8")
    with pytest.raises(CommandError, match="passphrase is wrong"):
        call_command("restore", str(file), passphrase_file=key)
    key.write_text("a passphrase\n", encoding="utf-8")

    call_command("restore", str(file), passphrase_file=key)

    assert contents() == before
    assert "1 record, all hold." in capsys.readouterr().out
    assert file.stat().st_mode & 0o077 == 0
    assert [path.name for path in tmp_path.glob("*.unfinished")] == []


# While people go on working

FOUNDING = """
import django; django.setup()
from inspections.models import Firm
Firm.objects.create(name="Tidewell Electrical")
"""
WRITING = """
import sys, django; django.setup()
from inspections.models import Client, Firm, Installation
from django.db import transaction
firm, number = Firm.objects.get(), 0
while True:
    with transaction.atomic():
        client = Client.objects.create(firm=firm, name=f"Client {number}")
        Installation.objects.create(client=client, name=f"Place {number}")
    number += 1
    print(number, flush=True)
"""


def run(*words, **env):
    own = os.environ | {"DJANGO_SETTINGS_MODULE": "config.settings"} | env
    done = subprocess.run(
        [sys.executable, *words], cwd=ROOT, capture_output=True, text=True, check=False, env=own
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_backup_of_a_file_being_written_to_is_of_one_moment(laid_out_sqlite, tmp_path):
    def place(name):
        return {"DATABASE_URL": f"sqlite:///{tmp_path / name}", "MEDIA_ROOT": str(tmp_path / f"{name}-media")}

    here, there, file = place("here.sqlite3"), place("there.sqlite3"), str(tmp_path / "record.zip")
    count = (
        "import django; django.setup()\n"
        "from inspections.models import Client, Installation\n"
        "paired = Installation.objects.values('client').distinct().count()\n"
        "print(Client.objects.count(), Installation.objects.count(), paired)"
    )
    shutil.copy(laid_out_sqlite, tmp_path / "here.sqlite3")
    run("-c", FOUNDING, **here)
    own = os.environ | {"DJANGO_SETTINGS_MODULE": "config.settings"} | here
    with subprocess.Popen(
        [sys.executable, "-c", WRITING], cwd=ROOT, stdout=subprocess.PIPE, text=True, env=own
    ) as writer:
        try:
            begun = int(writer.stdout.readline())
            run("manage.py", "backup", file, **here)
        finally:
            writer.kill()
        ended = int(writer.stdout.read().split()[-1])
    run("manage.py", "restore", file, **there)

    clients, installations, paired = map(int, run("-c", count, **there).split())
    assert begun <= clients <= ended + 1
    assert begun < ended  # the writer went on meanwhile
    assert clients == installations == paired
    manifest = json.loads(zipfile.ZipFile(file).read("manifest.json"))
    assert manifest["rows"]["inspections_client"] == clients


# By date, into a folder


@emptied
def test_of_backups_by_date_only_the_latest_stay_and_other_files_are_left(photographs, record, tmp_path):
    folder = tmp_path / "backups"
    folder.mkdir()
    (folder / "mine.backup").touch()
    for day in (1, 2, 3, 4):
        with time_machine.travel(datetime(2026, 11, day, 3, tzinfo=UTC), tick=False):
            call_command("backup", str(folder), keep=2)
    assert sorted(path.name for path in folder.iterdir()) == [
        "mine.backup",
        "stillacross-2026-11-03T030000.backup",
        "stillacross-2026-11-04T030000.backup",
    ]


@emptied
def test_before_migrating_a_backup_is_made_only_where_there_is_something_to_lose(record, tmp_path):
    def backups():
        call_command("backup", str(tmp_path), before_migrating=True)
        return len(list(tmp_path.glob("*.backup")))

    assert backups() == 0  # nothing waits
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'sessions'")
    assert backups() == 1
    empty()
    assert backups() == 1
    MigrationRecorder(connection).record_applied("sessions", "0001_initial")


@pytest.mark.parametrize(("keep", "name"), [(0, ""), (2, "file.backup")])
@emptied
def test_keep_asks_for_a_folder_and_a_number(tmp_path, keep, name):
    with pytest.raises(CommandError, match="--keep takes at least 1"):
        call_command("backup", str(tmp_path / name), keep=keep)
