"""The PDF of an issued record signed with a certificate, and read by a program that is not ours: pdfsig of
poppler-utils, which uses NSS where the program that signed uses pyHanko and cryptography."""

import subprocess
from datetime import UTC, datetime
from io import BytesIO

import pdfplumber
import pytest
from django.core.exceptions import ValidationError
from django.test import Client as Browser
from django.urls import reverse

from inspections.enums import InspectionStatus
from reports.intake.read import read_record
from reports.kept_pdf import read
from reports.models import IssuedRecord
from reports.services.issue import issue_inspection
from reports.services.pdf import draw_pdf, drawn_again
from reports.verify import verify_chain
from tests.reports.ready import in_review, issued, supervisor_of
from tests.reports.signing import PASSPHRASE, write_certificate

pytestmark = pytest.mark.django_db


@pytest.fixture
def certificate(tmp_path, settings):
    settings.SIGNING_CERTIFICATE = str(write_certificate(tmp_path / "firm.p12"))
    settings.SIGNING_PASSPHRASE = PASSPHRASE
    return settings


@pytest.fixture
def pdfsig(needed_program, tmp_path):
    """What pdfsig says of a PDF. It asks no certificate store of this computer: who trusts a certificate is
    for whoever reads the report."""
    program = needed_program("pdfsig")

    def told(pdf: bytes) -> str:
        path = tmp_path / "report.pdf"
        path.write_bytes(pdf)
        command = [program, "-nocert", str(path)]
        env = {"HOME": str(tmp_path), "LC_ALL": "C", "TZ": "UTC"}
        return subprocess.run(command, capture_output=True, text=True, env=env, timeout=60).stdout

    return told


def stored(record) -> bytes:
    return read(IssuedRecord.objects.get(pk=record.pk))


def page_of(record) -> str:
    browser = Browser()
    browser.force_login(record.issued_by)
    return browser.get(reverse("record", args=[record.pk])).content.decode()


def test_signed_pdf_is_valid_to_an_independent_reader(certificate, pdfsig):
    record = draw_pdf(issued())

    told = pdfsig(stored(record))

    assert "Signature is Valid." in told
    assert "Total document signed" in told
    assert "Signer full Distinguished Name: L=Larkfield,CN=Tidewell Electrical" in told
    # ETSI EN 319 142-1, 5.3: the SubFilter of every PAdES baseline signature.
    assert "Signature Type: ETSI.CAdES.detached" in told
    assert f"Signing Time: {record.issued_at.astimezone(UTC):%b %d %Y %H:%M:%S}" in told


@pytest.mark.parametrize("where", [0.1, 0.5, 0.9])
def test_flipped_byte_of_what_was_drawn_is_found_by_an_independent_reader(where, certificate, pdfsig):
    record = draw_pdf(issued())
    pdf = bytearray(stored(record))
    pdf[int(len(drawn_again(record)) * where)] ^= 1

    told = pdfsig(bytes(pdf))

    assert "Signature #1" in told
    assert "Signature is Valid." not in told
    assert "Digest Mismatch." in told


def test_signature_says_which_record_was_issued_by_whom_and_where(certificate):
    inspection = in_review()
    inspection.installation.firm.address = "Unit 4, Quay Road\nLarkfield"
    inspection.installation.firm.save()
    record = draw_pdf(issue_inspection(inspection=inspection, member=supervisor_of(inspection)))

    with pdfplumber.open(BytesIO(stored(record))) as book:
        (widget,) = book.annots
        signature = widget["data"]["V"]
    assert signature["Reason"].decode() == f"No. 1 issued by {record.issued_by.name}"
    assert signature["Location"].decode() == "Unit 4, Quay Road, Larkfield"
    assert (widget["width"], widget["height"]) == (0, 0)


def test_signed_pdf_is_the_drawn_one_with_the_signature_behind_it(certificate):
    record = draw_pdf(issued())
    drawn = drawn_again(record)
    assert stored(record).startswith(drawn)
    assert len(stored(record)) > len(drawn)


def test_signed_record_still_holds_and_still_comes_in_elsewhere(certificate):
    record = draw_pdf(issued())
    assert verify_chain(record.firm) is None
    assert read_record(stored(record)).record == record.json


def test_without_a_certificate_the_pdf_is_as_it_was_drawn(pdfsig):
    record = draw_pdf(issued())
    assert stored(record) == drawn_again(record)
    assert "Signature" not in pdfsig(stored(record)).replace("Digital Signature Info", "")


def test_page_of_the_record_says_whose_certificate_signed_it(certificate):
    page = page_of(draw_pdf(issued()))
    assert "signed, with the certificate of Locality: Larkfield, Common Name: Tidewell Electrical" in page


def test_page_of_a_record_that_is_not_signed_says_so():
    assert "not signed with a certificate" in page_of(draw_pdf(issued()))
    assert "signed" not in page_of(issued()).partition("Fixed for good")[2]


@pytest.mark.parametrize(
    ("broken", "said"),
    [
        (lambda s, _: setattr(s, "SIGNING_PASSPHRASE", "another"), "its passphrase is another"),
        (lambda s, _: setattr(s, "SIGNING_PASSPHRASE", ""), "its passphrase is another"),
        (lambda _, path: path.unlink(), r"firm\.p12 cannot be read: No such file"),
        (lambda _, path: path.write_bytes(b"no certificate"), r"firm\.p12 is no PKCS#12 file"),
        (
            lambda _, path: write_certificate(path, ends=datetime(2021, 1, 1, tzinfo=UTC)),
            "valid from 1 Jan 2020 to 1 Jan 2021",
        ),
    ],
)
def test_what_cannot_be_signed_is_not_kept_unsigned_and_says_why(broken, said, certificate, tmp_path):
    broken(certificate, tmp_path / "firm.p12")
    record = issued()

    with pytest.raises(ValidationError, match=said):
        draw_pdf(record)

    record.refresh_from_db()
    assert record.pdf_sha256 == ""


def test_issue_stands_when_its_pdf_could_not_be_signed_and_the_pages_say_so(certificate):
    certificate.SIGNING_PASSPHRASE = "another"
    inspection = in_review()
    browser = Browser()
    browser.force_login(supervisor_of(inspection))

    done = browser.post(reverse("review", args=[inspection.pk]), {"do": "issue"}, follow=True)

    record = IssuedRecord.objects.get()
    assert record.inspection.status == InspectionStatus.ISSUED
    assert "its PDF could not be signed" in done.content.decode()
    again = browser.post(reverse("record_pdf", args=[record.pk]), follow=True)
    assert "its PDF could not be signed" in again.content.decode()
    certificate.SIGNING_PASSPHRASE = PASSPHRASE
    browser.post(reverse("record_pdf", args=[record.pk]))
    assert stored(record).startswith(b"%PDF-")
