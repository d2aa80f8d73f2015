"""Takes the attached record and the photographs out of a PDF. Run as a program of its own, with little memory
and time, because a PDF from outside may be made to exhaust or break whatever reads it.

It reads the PDF from standard input and writes one line of JSON, then the bytes of the record and of each
photograph one after another. The line says how long each is, or what is wrong: a key of
``reports.intake.read.PROBLEMS``. It uses nothing of this program.
"""

import hashlib
import json
import resource
import sys
from io import BytesIO

NAME = "record.json"
MEMORY_BYTES = 512 * 1024 * 1024
SECONDS = 20
MOST_OBJECTS = 250_000  # of a report of 5,000 circuits: each cell of a tagged table is one
MOST_PAGES = 2_000
MOST_RECORD_BYTES = 8 * 1024 * 1024
MOST_PHOTO_BYTES = 8 * 1024 * 1024


class Refused(Exception):
    """The key of what is wrong."""


def main() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    try:
        description, record, photos = extract(sys.stdin.buffer.read())
    except Refused as refused:
        sys.stdout.write(json.dumps({"problem": str(refused)}))
        return
    line = {"description": description, "record": len(record), "photos": [len(photo) for photo in photos]}
    sys.stdout.buffer.write(json.dumps(line).encode() + b"\n" + record + b"".join(photos))


def extract(pdf: bytes) -> tuple[str, bytes, list[bytes]]:
    """The description of the attached record, its bytes, and the JPEG pictures on the pages, each once."""
    import pikepdf

    try:
        book = pikepdf.open(BytesIO(pdf))
    except pikepdf.PasswordError:
        raise Refused("encrypted") from None
    except pikepdf.PdfError:
        raise Refused("damaged") from None
    with book:
        if book.is_encrypted:
            raise Refused("encrypted")
        if len(book.objects) > MOST_OBJECTS or len(book.pages) > MOST_PAGES:
            raise Refused("too-many-parts")
        try:
            if NAME not in book.attachments:
                raise Refused("no-record")
            attached = book.attachments[NAME]
            record = attached.get_file().read_bytes()
            return str(attached.description or ""), _bounded(record), list(_photos(book))
        except (pikepdf.PdfError, KeyError, ValueError, TypeError, AttributeError):
            raise Refused("damaged") from None


def _bounded(record: bytes) -> bytes:
    if len(record) > MOST_RECORD_BYTES:
        raise Refused("record-too-large")
    return record


def _photos(book):
    import pikepdf

    seen = set()
    for page in book.pages:
        for image in page.get_images(recursive=False).values():
            if image.get("/Filter") not in (pikepdf.Name.DCTDecode, [pikepdf.Name.DCTDecode]):
                continue
            photo = image.read_raw_bytes()
            digest = hashlib.sha256(photo).digest()
            if digest not in seen and len(photo) <= MOST_PHOTO_BYTES:
                seen.add(digest)
                yield photo


if __name__ == "__main__":
    main()
