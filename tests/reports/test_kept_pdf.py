"""The PDF of an issued record: kept once under its hash, held to it whenever it is read, and what is said and
done where its file is missing or altered."""

import hashlib
import io
import zipfile
from datetime import date
from pathlib import Path

import pytest
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import transaction
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from inspections.enums import Role
from reports import kept_pdf
from reports.kept_pdf import PdfLost
from reports.links.services import give_link
from reports.models import IssuedRecord
from reports.runs.work import work_off
from reports.services.pdf import add_pdf, draw_lost_pdf, draw_pdf
from reports.services.runs import begin_export
from tests.factories import MemberFactory
from tests.reports.ready import issued
from tests.reports.signing import PASSPHRASE, write_certificate

in_database = pytest.mark.django_db
DRAWN = b"%PDF-1.7 drawn"
SHA256 = hashlib.sha256(DRAWN).hexdigest()
WAYS_TO_LOSE = pytest.mark.parametrize(
    ("lose", "said"),
    [
        pytest.param(Path.unlink, "is missing: restore it from a backup", id="missing"),
        pytest.param(
            lambda file: file.write_bytes(DRAWN),
            "is not what was kept: move it away, then",
            id="altered",
        ),
    ],
)


@pytest.fixture
def record(db, kept_files):
    return draw_pdf(issued())


@pytest.fixture
def file(record, kept_files):
    return kept_files / f"records/{record.pdf_sha256}.pdf"


@pytest.fixture
def inside(record):
    browser = Browser()
    browser.force_login(record.issued_by)
    return browser


# Kept


def test_it_lies_under_its_hash_and_once_however_often_it_is_kept(kept_files):
    assert [kept_pdf.keep(DRAWN), kept_pdf.keep(DRAWN)] == [SHA256, SHA256]
    (file,) = kept_files.rglob("*.*")
    assert file.relative_to(kept_files).as_posix() == f"records/{SHA256}.pdf"
    assert file.read_bytes() == DRAWN


def test_what_lies_under_its_hash_and_is_another_is_refused_and_stays(kept_files):
    kept_pdf.keep(DRAWN)
    (file,) = kept_files.rglob("*.*")
    file.write_bytes(b"another")
    with pytest.raises(PdfLost, match="is not what was kept: move it away"):
        kept_pdf.keep(DRAWN)
    assert [path.read_bytes() for path in kept_files.rglob("*.*")] == [b"another"]


@in_database
def test_the_file_is_there_before_the_row_names_it_and_a_row_taken_back_leaves_it_unused(kept_files):
    record = issued()
    with transaction.atomic():
        add_pdf(record=record, pdf=DRAWN)
        transaction.set_rollback(True)
    record.refresh_from_db()
    assert record.pdf_sha256 == ""
    assert default_storage.exists(f"records/{SHA256}.pdf")
    assert kept_pdf.read(add_pdf(record=record, pdf=DRAWN)) == DRAWN


@in_database
def test_no_row_names_a_file_that_could_not_be_written(kept_files):
    record = issued()
    kept_files.mkdir()
    (kept_files / "records").write_bytes(b"a file where the folder would be")
    with pytest.raises(ValidationError, match="The PDF could not be written"):
        add_pdf(record=record, pdf=DRAWN)
    record.refresh_from_db()
    assert record.pdf_sha256 == ""


# Lost


@WAYS_TO_LOSE
def test_reading_says_which_file_is_lost_and_what_to_do(lose, said, record, file):
    lose(file)
    with pytest.raises(PdfLost, match=f"records/{record.pdf_sha256}.pdf, {said}"):
        kept_pdf.read(record)


def test_a_file_that_may_not_be_read_says_why(record, file):
    file.unlink()
    file.mkdir()
    with pytest.raises(PdfLost, match="cannot be read: Is a directory"):
        kept_pdf.read(record)


@WAYS_TO_LOSE
def test_its_pages_say_so_plainly_to_the_firm_and_to_the_client(lose, said, record, file, inside):
    until = date(timezone.localdate().year + 1, 1, 1)
    token = give_link(record=record, given_to="Larkfield Estate", expires_on=until, member=record.issued_by)
    lose(file)

    page = inside.get(reverse("record", args=[record.pk]))
    pdf = inside.get(reverse("record_pdf", args=[record.pk]))
    sent = Browser().get(reverse("client_report_pdf", args=[token]))

    assert (page.status_code, pdf.status_code, sent.status_code) == (200, 503, 503)
    assert "This record fails its check" in page.text
    assert "Its PDF" in page.text
    assert "Draw the report again (PDF)" in page.text
    assert said in page.text
    assert said in pdf.text
    assert f"Ask {record.firm.name} for report {record}" in " ".join(sent.text.split())
    assert "records/" not in sent.text
    assert sent["Cache-Control"] == "no-store"


def test_missing_it_is_drawn_again_to_the_byte_from_the_page_of_the_record(record, file, inside):
    before = file.read_bytes()
    file.unlink()
    page = inside.post(reverse("record_pdf", args=[record.pk]), follow=True)
    assert "passed, just now" in page.text
    assert file.read_bytes() == before


def test_altered_it_is_not_written_over(record, file, inside):
    file.write_bytes(DRAWN)
    page = inside.post(reverse("record_pdf", args=[record.pk]), follow=True)
    assert "move it away" in page.text
    assert file.read_bytes() == DRAWN


@in_database
def test_a_signed_one_is_not_drawn_again_but_wanted_from_a_backup(kept_files, settings, tmp_path):
    settings.SIGNING_CERTIFICATE = str(write_certificate(tmp_path / "firm.p12"))
    settings.SIGNING_PASSPHRASE = PASSPHRASE
    record = draw_pdf(issued())
    (file,) = kept_files.rglob("*.pdf")
    draw_lost_pdf(record)  # it is there: nothing to do
    file.unlink()
    with pytest.raises(ValidationError, match=rf"signed.*Restore the file records/{record.pdf_sha256}\.pdf"):
        draw_lost_pdf(record)
    assert not list(kept_files.rglob("*.pdf"))


@WAYS_TO_LOSE
def test_an_export_leaves_it_out_and_says_why(lose, said, record, file, tmp_path):
    lose(file)
    out = io.StringIO()
    with pytest.raises(CommandError, match=rf"00001: left out: its PDF, .* {said}"):
        call_command("export_records", "--to", str(tmp_path / "out"), "--remake", stdout=out)
    assert out.getvalue().splitlines()[-1] == "1 left out"


def test_lost_since_its_run_the_archive_has_the_reason_in_its_place(record, file, inside):
    run = begin_export(records=IssuedRecord.objects.all(), draw_again=False, member=record.issued_by)
    list(work_off(run))
    file.unlink()
    response = inside.get(reverse("run_archive", args=[run.pk]))
    with zipfile.ZipFile(io.BytesIO(response.getvalue())) as archive:
        _, told, content = archive.namelist()
        assert told.endswith("00001-without-its-pdf.txt")
        assert "is missing" in archive.read(told).decode()
        assert archive.read(content) == record.json


def test_no_address_leads_to_the_folder(record, inside):
    for browser in (inside, Browser()):
        for path in (f"/media/records/{record.pdf_sha256}.pdf", f"/records/{record.pdf_sha256}.pdf"):
            assert browser.get(path).status_code == 404
    stranger = Browser()
    stranger.force_login(MemberFactory(role=Role.SUPERVISOR))
    assert stranger.get(reverse("record_pdf", args=[record.pk])).status_code == 404
