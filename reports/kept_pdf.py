"""The PDFs of issued records, in Django's default storage, each under the SHA-256 of its bytes.

So the name says what is in the file: writing the same again is harmless, an issue that is taken back leaves
only a file that nothing names, and each reading is held to the hash. No file is written over, nor deleted but
with a sample firm.
"""

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from reports.content import sha256_of
from reports.models import IssuedRecord

FOLDER = "records/"
_WHAT_TO_DO = (
    "restore it from a backup or, where the report is not signed, draw it again on the page of the record"
)


class PdfLost(ValidationError):
    """What is wrong with the file of a PDF, and what to do, as the rest of a sentence."""


def name_of(sha256: str) -> str:
    """Where the storage has the PDF with that hash."""
    return f"{FOLDER}{sha256}.pdf"


def keep(pdf: bytes) -> str:
    """Have a PDF kept, before any row names it: its SHA-256, once the file was read back. Raises
    ValidationError where it cannot be written, PdfLost where another file lies in its place."""
    sha256 = sha256_of(pdf)
    try:
        if not default_storage.exists(name_of(sha256)):
            default_storage.save(name_of(sha256), ContentFile(pdf))
    except OSError as error:
        raise ValidationError(
            f"The PDF could not be written: {error.strerror or error}. Have that put right, then draw the "
            "report from the page of the record."
        ) from error
    _read(sha256)
    return sha256


def read(record: IssuedRecord) -> bytes:
    """The PDF of a record that was drawn, held to its hash. Raises PdfLost where it is not there as kept."""
    return _read(record.pdf_sha256)


def _read(sha256: str) -> bytes:
    name = name_of(sha256)
    try:
        with default_storage.open(name, "rb") as file:
            pdf = file.read()
    except FileNotFoundError:
        raise PdfLost(f"its PDF, the file {name}, is missing: {_WHAT_TO_DO}") from None
    except OSError as error:
        raise PdfLost(f"its PDF, the file {name}, cannot be read: {error.strerror}") from error
    if sha256_of(pdf) != sha256:
        raise PdfLost(f"its PDF, the file {name}, is not what was kept: move it away, then {_WHAT_TO_DO}")
    return pdf
