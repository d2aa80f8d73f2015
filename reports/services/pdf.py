"""The PDF of an issued record: drawn from its content, signed where there is a certificate, kept once."""

from pathlib import Path

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction

from inspections.words import on_one_line
from reports import kept_pdf
from reports.content import sha256_of
from reports.kept_pdf import PdfLost
from reports.models import IssuedRecord


def draw_pdf(record: IssuedRecord) -> IssuedRecord:
    """Draw the report of an issued record from its content alone, and keep it with the record: signed, where
    the service has a certificate, which stands for no sample. Raises ValidationError when it cannot be
    signed; nothing is kept then."""
    pdf = drawn_again(record)
    if settings.SIGNING_CERTIFICATE and not record.firm.is_sample:
        pdf = _signed(record, pdf)
    return add_pdf(record=record, pdf=pdf)


def draw_lost_pdf(record: IssuedRecord) -> None:
    """Draw the report of an issued record once more where the file of its PDF is lost. Raises ValidationError
    where what is drawn is not to the byte what was kept, or an altered file lies in its place."""
    try:
        kept_pdf.read(record)
    except PdfLost:
        pdf = drawn_again(record)
        if sha256_of(pdf) != record.pdf_sha256:
            name = kept_pdf.name_of(record.pdf_sha256)
            raise ValidationError(
                f"Drawn again, {record} is not the report that was kept, which was signed or which another "
                f"version of this program drew. Restore the file {name} from a backup."
            ) from None
        kept_pdf.keep(pdf)


def drawn_again(record: IssuedRecord) -> bytes:
    """The report of an issued record drawn from its content alone, not signed: the same bytes each time."""
    from reports.report.draw import draw_report  # the drawing libraries stay out of start-up

    photos = {photo.sha256: bytes(photo.content) for photo in record.photos.all()}
    return draw_report(record.read(), photos)


def _signed(record: IssuedRecord, pdf: bytes) -> bytes:
    """The PDF signed as of the issue."""
    from reports.report.sign import CertificateRefused, read_certificate, sign

    firm = record.read()["firm"]
    try:
        return sign(
            pdf,
            read_certificate(Path(settings.SIGNING_CERTIFICATE), settings.SIGNING_PASSPHRASE),
            at=record.issued_at,
            reason=f"{record} issued by {record.issued_by.name}",
            location=on_one_line(firm["address"]),
        )
    except CertificateRefused as refused:
        raise ValidationError(
            f"{record} is issued, but its PDF could not be signed: {refused}. Have SIGNING_CERTIFICATE put "
            "right, then draw the report from the page of the record."
        ) from refused


def add_pdf(*, record: IssuedRecord, pdf: bytes) -> IssuedRecord:
    """Keep the PDF drawn from an issued record, once. Raises ValidationError when it has one."""
    sha256 = kept_pdf.keep(pdf)
    with transaction.atomic():
        record = IssuedRecord.objects.select_for_update().get(pk=record.pk)
        if record.pdf_sha256:
            raise ValidationError(f"{record} has its PDF already.")
        record.pdf_sha256 = sha256
        record.save(update_fields=["pdf_sha256"])
    return record
