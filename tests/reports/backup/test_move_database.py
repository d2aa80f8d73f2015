"""A database brought into another, of its own kind or the other, whole or one firm's rows alone."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from hashlib import sha256
from pathlib import Path

import pytest
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.management import CommandError, call_command
from django.test import Client as Browser

from inspections.enums import Role
from inspections.models import Client, Firm, Member
from reports import kept_pdf
from reports.backup.of_firm import firm_path, rows_of_firm
from reports.models import IssuedRecord
from reports.services.pdf import add_pdf
from reports.verify import verify_chain
from tests.config.addresses import rows_of
from tests.databases import url_for_another_process
from tests.factories import MemberFactory, ObservationFactory
from tests.reports.backup.conftest import contents, empty

ROOT = Path(__file__).parents[3]
emptied = pytest.mark.django_db(transaction=True)


def as_file(path):
    """The database of the tests as a file of SQLite, and its URL."""
    here, there = url_for_another_process(path), f"sqlite:///{path}"
    if here != there:
        manage("move_database", "--from", here, DATABASE_URL=there, MEDIA_ROOT=str(path.parent / "media"))
    return there


def manage(*words, **env):
    own = os.environ | {"DJANGO_SETTINGS_MODULE": "config.settings", "DEBUG": "on"} | env
    command = [sys.executable, "manage.py", *words]
    run = subprocess.run(command, cwd=ROOT, env=own, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr


def hash_of(path):
    return sha256(path.read_bytes()).hexdigest()


@emptied
def test_a_file_of_sqlite_is_moved_whole_and_stays_as_it_is(record, tmp_path, capsys):
    """With PostgreSQL the record goes there and back: into a file of SQLite, and out of it again."""
    path, before = tmp_path / "office.sqlite3", contents()
    url = as_file(path)
    untouched = hash_of(path)
    empty()

    call_command("move_database", url=url)

    assert contents() == before
    assert hash_of(path) == untouched
    assert verify_chain(record.firm) is None
    said = capsys.readouterr().out
    assert f"{record.firm}: 1 record, all hold." in said
    assert f"{Client.objects.count():>10,}  inspections_client\n" in said
    Client.objects.create(firm=record.firm, name="A new row takes a key of its own")


@emptied
def test_the_files_its_rows_name_are_copied_where_told_and_what_is_missing_is_said(
    record, kept_files, tmp_path, capsys
):
    ObservationFactory(photo="observations/lost.jpg")
    (kept_files / "observations").mkdir()
    (kept_files / "observations/nobodys.jpg").write_bytes(b"named by no row")
    url, pdf = as_file(tmp_path / "office.sqlite3"), kept_pdf.read(record)
    empty()
    elsewhere = kept_files.rename(tmp_path / "elsewhere")
    with pytest.raises(CommandError, match="There is no folder"):
        call_command("move_database", url=url, media_from=tmp_path / "nowhere")

    call_command("move_database", url=url, media_from=elsewhere)

    assert kept_pdf.read(record) == pdf
    assert len(list(kept_files.rglob("*.*"))) == 1
    told = capsys.readouterr()
    assert "1  files\n" in told.out
    assert told.err == f"The record names the file observations/lost.jpg, which is missing in {elsewhere}.\n"


@emptied
def test_a_pdf_that_stayed_behind_is_named(record, kept_files, tmp_path):
    url = as_file(tmp_path / "office.sqlite3")
    empty()
    kept_files.rename(tmp_path / "elsewhere")
    with pytest.raises(CommandError, match=f"{record} does not hold: its PDF, .* is missing"):
        call_command("move_database", url=url)
    assert IssuedRecord.objects.get() == record


@emptied
def test_a_database_with_a_record_in_it_is_refused(record, tmp_path):
    before = contents()
    with pytest.raises(CommandError, match="holds a record already"):
        call_command("move_database", url=f"sqlite:///{tmp_path / 'any.sqlite3'}")
    assert contents() == before


@emptied
def test_a_file_that_is_not_there_is_not_made(tmp_path):
    path = tmp_path / "mistyped.sqlite3"
    with pytest.raises(CommandError, match=r"There is no file .*mistyped\.sqlite3"):
        call_command("move_database", url=f"sqlite:///{path}")
    assert not path.exists()


@emptied
def test_a_file_that_is_another_programs_is_refused_in_words(tmp_path):
    path = tmp_path / "another.sqlite3"
    with closing(sqlite3.connect(path)) as another:
        another.execute("CREATE TABLE things (id INTEGER)")
    with pytest.raises(CommandError, match="django_migrations"):
        call_command("move_database", url=f"sqlite:///{path}")


# One firm alone

# Tables that are the same for every firm. Any other must reach its firm.
OF_THE_SERVICE = {"django_content_type", "auth_permission", "auth_group", "auth_group_permissions"}


def models_kept():
    return [model for model in apps.get_models(include_auto_created=True) if model is not Session]


@pytest.fixture
def two_firms(db):
    """Two firms with a row of each kind, and who runs the service."""
    members = [MemberFactory(role=Role.SUPERVISOR) for _ in range(2)]
    for member in members:
        rows_of(member)
    MemberFactory(firm=None, is_superuser=True)
    return [member.firm for member in members]


def test_every_table_carries_its_firm_or_reaches_it_through_what_it_belongs_to():
    without = {model._meta.db_table for model in models_kept() if firm_path(model) is None}
    assert without == OF_THE_SERVICE


@pytest.mark.django_db
def test_each_row_is_one_firms_and_no_row_is_left_over(two_firms):
    for model in models_kept():
        if model._meta.db_table in OF_THE_SERVICE or issubclass(model, Member):
            continue
        every = set(model._base_manager.values_list("pk", flat=True))
        first, second = (set(rows_of_firm(model, firm.pk).values_list("pk", flat=True)) for firm in two_firms)
        of_nobody = (
            {row.pk for row in Member.history.filter(firm=None)} if model is Member.history.model else set()
        )
        assert first | second | of_nobody == every, model
        assert not first & second, model


@emptied
def test_one_firm_is_moved_with_its_chain_and_files_and_nothing_of_another(kept_files, two_firms, tmp_path):
    firm, other = two_firms
    mine, theirs = (add_pdf(record=one.issued_records.get(), pdf=one.name.encode()) for one in two_firms)
    before = {
        model._meta.db_table: set(rows_of_firm(model, firm.pk).values_list("pk", flat=True))
        for model in models_kept()
        if model._meta.db_table not in OF_THE_SERVICE
    }
    before[Member._meta.db_table].add(Member.objects.get(firm=None).pk)  # whoever runs the service
    url = as_file(tmp_path / "service.sqlite3")
    empty()

    elsewhere = kept_files.rename(tmp_path / "elsewhere")

    call_command("move_database", url=url, firm=firm.name, media_from=elsewhere)

    assert [file.stem for file in kept_files.rglob("*.pdf")] == [mine.pdf_sha256] != [theirs.pdf_sha256]
    assert Firm.objects.get() == firm
    after = {
        model._meta.db_table: set(model._base_manager.values_list("pk", flat=True))
        for model in models_kept()
        if model._meta.db_table not in OF_THE_SERVICE
    }
    assert after == before
    assert firm.issued_records.count() == 1
    assert verify_chain(firm) is None
    assert other.name not in Browser().get("/sign-in/").text


@emptied
def test_a_firm_that_is_not_there_is_not_moved(two_firms, tmp_path):
    url = as_file(tmp_path / "service.sqlite3")
    empty()
    with pytest.raises(CommandError, match="no firm called Nobody"):
        call_command("move_database", url=url, firm="Nobody")
