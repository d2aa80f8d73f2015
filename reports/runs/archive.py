"""The records of a run as one ZIP, written as it is sent: one record in memory at a time."""

import io
import zipfile
from collections.abc import Iterator

from django.utils import timezone

from reports import kept_pdf
from reports.bulk_export import name_of
from reports.kept_pdf import PdfLost
from reports.models import IssuedRecord
from reports.runs.tables import Run, RunItem, RunOutcome

BECAME = "what-became-of-each.txt"


class _Outbox(io.RawIOBase):
    """Where the ZIP is written to: holds what was not sent yet."""

    def __init__(self):
        self._held = bytearray()

    def writable(self) -> bool:
        return True

    def write(self, piece) -> int:
        self._held += piece
        return len(piece)

    def take(self) -> bytes:
        piece = bytes(self._held)
        self._held.clear()
        return piece


def archive_of(run: Run) -> Iterator[bytes]:
    """The PDF and the content (JSON) of every record of a run, and a list of what became of each report."""
    outbox = _Outbox()
    items = run.items.select_related("record", "inspection__installation").defer("record__content")
    with zipfile.ZipFile(outbox, "w", zipfile.ZIP_DEFLATED) as archive:
        became = (*filter(None, [run.firm.notice]), *map(_line, items))
        archive.writestr(_entry(BECAME, run.begun_at), "".join(f"{line}\n" for line in became))
        for pk in items.filter(record__pdf_sha256__gt="").values_list("record", flat=True):
            _add(archive, IssuedRecord.objects.select_related("firm").get(pk=pk))
            yield outbox.take()
    yield outbox.take()


def _add(archive: zipfile.ZipFile, record: IssuedRecord) -> None:
    name = name_of(record)
    try:
        pdf = kept_pdf.read(record)
    except PdfLost as lost:
        instead = _entry(f"{name}-without-its-pdf.txt", record.issued_at)
        archive.writestr(instead, f"{record}: {lost.message}.\n")
    else:
        entry = _entry(f"{name}.pdf", record.issued_at)
        entry.compress_type = zipfile.ZIP_STORED  # a PDF is compressed in itself
        archive.writestr(entry, pdf)
    archive.writestr(_entry(f"{name}.json", record.issued_at), record.json)


def _entry(name: str, at) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, timezone.localtime(at).timetuple()[:6])
    entry.compress_type = zipfile.ZIP_DEFLATED
    return entry


def _line(item: RunItem) -> str:
    where = f"{item.inspection.installation.name}, {item.inspection}"
    number = f"{item.record}, " if item.record else ""
    said = f": {'; '.join(item.said.splitlines())}" if item.said else ""
    return f"{number}{where}\t{RunOutcome(item.outcome).label}{said}"
