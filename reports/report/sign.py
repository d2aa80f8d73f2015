"""The PDF of an issued record signed with a certificate: PAdES baseline B-B (ETSI EN 319 142-1).

The signature is added behind the PDF as drawn: the signed PDF begins with the drawn one, byte for byte.
"""

from datetime import datetime
from io import BytesIO
from pathlib import Path

from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign import PdfSignatureMetadata, PdfSigner, SimpleSigner
from pyhanko.sign.fields import SigSeedSubFilter

_FIELD = "Issue"
_DIGEST = "sha256"


class CertificateRefused(ValueError):
    """Nothing can be signed with the certificate. The message says why."""


def read_certificate(path: Path, passphrase: str) -> SimpleSigner:
    """The certificate and key of a PKCS#12 file, which may be without a passphrase. Raises
    CertificateRefused."""
    try:
        content = path.read_bytes()
    except OSError as error:
        raise CertificateRefused(f"{path.name} cannot be read: {error.strerror}") from error
    try:
        return SimpleSigner.load_pkcs12_data(content, (), passphrase.encode() or None)
    except (ValueError, AttributeError) as error:  # the latter where the file holds no key
        raise CertificateRefused(
            f"{path.name} is no PKCS#12 file of a certificate and its key, or its passphrase is another"
        ) from error


class _AsOf(PdfSigner):
    """Signs as of a given time, where pyHanko would take the clock's."""

    def __init__(self, *args, at: datetime, **options):
        super().__init__(*args, **options)
        self._at = at

    def init_signing_session(self, *args, **options):
        session = super().init_signing_session(*args, **options)
        session.system_time = self._at
        return session


def sign(pdf: bytes, signer: SimpleSigner, *, at: datetime, reason: str, location: str) -> bytes:
    """The PDF with an invisible signature as of ``at``. Raises CertificateRefused when the certificate was
    not valid then."""
    begins, ends = signer.signing_cert.not_valid_before, signer.signing_cert.not_valid_after
    if not begins <= at <= ends:
        raise CertificateRefused(
            f"the certificate is valid from {begins:%-d %b %Y} to {ends:%-d %b %Y}, and the record was "
            f"issued on {at:%-d %b %Y}"
        )
    about = PdfSignatureMetadata(
        field_name=_FIELD,
        md_algorithm=_DIGEST,
        subfilter=SigSeedSubFilter.PADES,
        reason=reason,
        location=location or None,
    )
    writer = IncrementalPdfFileWriter(BytesIO(pdf))
    return _AsOf(about, signer, at=at).sign_pdf(writer).getvalue()


def signed_by(pdf: bytes) -> str:
    """The subject of the certificate that a PDF of ours is signed with; empty when it is not signed."""
    signatures = PdfFileReader(BytesIO(pdf)).embedded_regular_signatures
    return signatures[0].signer_cert.subject.human_friendly if signatures else ""
