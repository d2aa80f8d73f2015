"""One file out, the same record back; and no damaged, foreign or second one in."""

import io
import json
import os
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from django.apps import apps
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection

from inspections.models import Client, Firm
from reports.backup.archive import BackupRefused, read_backup, write_backup
from reports.backup.sealed import PIECE_BYTES, SealBroken, is_sealed, seal, unseal
from reports.verify import verify_chain
from tests.factories import ObservationFactory, ParallelLoadFactory
from tests.reports.ready import issued

ROOT = Path(__file__).parents[3]
PHOTOGRAPH = b"\xff\xd8 as taken"
emptied = pytest.mark.django_db(transaction=True)


def contents():
    """Every row of every table."""
    return {
        model._meta.label: sorted(map(repr, map(_plain, model.objects.values_list())))
        for model in apps.get_models(include_auto_created=True)
    }


def _plain(row):
    return [bytes(value) if isinstance(value, memoryview) else value for value in row]


@pytest.fixture
def photographs(settings, tmp_path):
    settings.STORAGES = settings.STORAGES | {
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": tmp_path / "media"},
        }
    }
    default_storage.save("observations/1/photo.jpg", ContentFile(PHOTOGRAPH))
    return tmp_path / "media"


@pytest.fixture
def record(db):
    """A record with an issued report in it, which the database keeps from being changed."""
    record = issued()
    ParallelLoadFactory()
    ObservationFactory()
    return record


def backed_up():
    target = io.BytesIO()
    write_backup(target)
    return target


def empty(photographs):
    call_command("flush", interactive=False, verbosity=0)
    for path in photographs.rglob("*.jpg"):
        path.unlink()


@emptied
def test_what_is_restored_is_what_was_backed_up(photographs, record):
    before, backup = contents(), backed_up()
    empty(photographs)
    assert not Firm.objects.exists()

    manifest = read_backup(backup)

    assert contents() == before
    assert manifest["rows"]["inspections_firm"] == Firm.objects.count()
    assert (photographs / "observations/1/photo.jpg").read_bytes() == PHOTOGRAPH
    assert verify_chain(record.firm) is None
    Firm.objects.create(name="A new row takes a number of its own")


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
    return b"another" if name.startswith("media/") else content


def _without_photograph(name, content):
    return None if name.startswith("media/") else content


def _of_the_future(name, content):
    if name != "manifest.json":
        return content
    manifest = json.loads(content)
    manifest["migrations"].append(["inspections", "9999_later"])
    return json.dumps(manifest)


def _of_another_database(name, content):
    return content.replace(connection.vendor.encode(), b"another") if name == "manifest.json" else content


@emptied
@pytest.mark.parametrize(
    ("change", "said"),
    [
        (_other_photograph, "damaged: media/observations/1/photo.jpg is not what was backed up"),
        (_without_photograph, "damaged: what is in it is not what its manifest names"),
        (_of_the_future, "A newer program made the backup"),
        (_of_another_database, "The backup is of another"),
    ],
)
def test_a_backup_that_does_not_hold_is_refused_and_nothing_is_changed(photographs, record, change, said):
    backup = altered(backed_up(), change)
    empty(photographs)

    with pytest.raises(BackupRefused, match=said):
        read_backup(backup)

    assert not Firm.objects.exists()
    assert list(photographs.rglob("*.jpg")) == []


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
    empty(photographs)
    tried = set()

    for name, damaged in wrong_bytes(backup):
        with pytest.raises(BackupRefused, match="damaged"):
            read_backup(damaged)
        tried.add(name)

    assert tried >= {"manifest.json", "media/observations/1/photo.jpg"}
    assert not Firm.objects.exists()


@emptied
def test_half_a_file_is_refused(photographs, record):
    data = backed_up().getvalue()
    empty(photographs)
    with pytest.raises(BackupRefused, match="damaged, or is no backup"):
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
    with pytest.raises(CommandError, match="there already"):
        call_command("backup", str(file))
    empty(photographs)
    key.write_text("another\n", encoding="utf-8")
    with pytest.raises(CommandError, match="passphrase is not the one"):
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


def test_a_backup_of_a_file_being_written_to_is_of_one_moment(tmp_path):
    def place(name):
        return {"DATABASE_URL": f"sqlite:///{tmp_path / name}", "MEDIA_ROOT": str(tmp_path / f"{name}-media")}

    here, there, file = place("here.sqlite3"), place("there.sqlite3"), str(tmp_path / "record.zip")
    count = (
        "import django; django.setup()\n"
        "from inspections.models import Client, Installation\n"
        "paired = Installation.objects.values('client').distinct().count()\n"
        "print(Client.objects.count(), Installation.objects.count(), paired)"
    )
    run("manage.py", "migrate", "--verbosity", "0", **here)
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
