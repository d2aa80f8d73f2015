"""The record attached to its PDF, as a file that any PDF reader can save."""

import hashlib
from io import BytesIO

import pikepdf

NAME = "record.json"
MEDIA_TYPE = "application/json"
_DAY = "D:20000101000000Z"  # a fixed day: a file date that moved would make other bytes each time


def attach_record(pdf: bytes, record: bytes) -> bytes:
    """The PDF with ``record`` attached. The same PDF and record give the same bytes."""
    out = BytesIO()
    with pikepdf.open(BytesIO(pdf)) as book:
        spec = pikepdf.AttachedFileSpec(
            book,
            record,
            filename=NAME,
            mime_type=MEDIA_TYPE,
            description=f"Everything this report says, as data. SHA-256 {hashlib.sha256(record).hexdigest()}",
            relationship=pikepdf.Name.Data,
            creation_date=_DAY,
            mod_date=_DAY,
        )
        book.attachments[NAME] = spec
        book.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return out.getvalue()
