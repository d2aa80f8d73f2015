"""The record attached to its PDF, as a file that any PDF reader can save."""

import hashlib
from io import BytesIO

import pikepdf

NAME = "record.json"
MEDIA_TYPE = "application/json"
_DAY = "D:20000101000000Z"  # a fixed day: a file date that moved would make other bytes each time


def attach_record(book: pikepdf.Pdf, record: bytes) -> None:
    """Attach ``record`` to the PDF."""
    book.attachments[NAME] = pikepdf.AttachedFileSpec(
        book,
        record,
        filename=NAME,
        mime_type=MEDIA_TYPE,
        description=f"Everything this report says, as data. SHA-256 {hashlib.sha256(record).hexdigest()}",
        relationship=pikepdf.Name.Data,
        creation_date=_DAY,
        mod_date=_DAY,
    )


def saved(book: pikepdf.Pdf) -> bytes:
    """The bytes of the PDF; the same content gives the same bytes."""
    out = BytesIO()
    book.save(
        out,
        min_version="1.7",
        deterministic_id=True,
        object_stream_mode=pikepdf.ObjectStreamMode.generate,
    )
    return out.getvalue()
