"""Whether issued records still are what was issued: each content against its hash, each link of the chain,
each photograph, the end of the chain against the firm's series, and the file of each PDF."""

from collections.abc import Iterator
from dataclasses import dataclass

from inspections.models import Firm
from reports import kept_pdf
from reports.content import sha256_of
from reports.kept_pdf import PdfLost
from reports.models import IssuedRecord, RecordSeries


@dataclass(frozen=True)
class Failure:
    """record: the first that does not hold, or None where it is gone altogether. reason: in words."""

    record: IssuedRecord | None
    reason: str


def verify_chain(firm: Firm) -> Failure | None:
    """The first record of the firm that does not hold; None when all do. One record in memory at a time."""
    previous, last = "", None
    for record in IssuedRecord.objects.filter(firm=firm).order_by("pk").iterator(chunk_size=1):
        if record.previous_sha256 != previous:
            return Failure(record, "it is not chained to the record before it: one is missing or was changed")
        if reason := why_it_fails(record):
            return Failure(record, reason)
        previous, last = record.sha256, record
    series = RecordSeries.objects.filter(firm=firm).first()
    if (series.last_sha256 if series else "") != previous:
        after = f"after {last}" if last else "from the first on"
        return Failure(None, f"the record issued last is missing, {after}")
    return None


def lost_pdfs(firm: Firm) -> Iterator[Failure]:
    """Every record of the firm whose PDF is missing from the storage or altered there."""
    drawn = IssuedRecord.objects.filter(firm=firm).exclude(pdf_sha256="").defer("content")
    for record in drawn.order_by("pk").iterator():
        try:
            kept_pdf.read(record)
        except PdfLost as lost:
            yield Failure(record, lost.message)


def why_it_fails(record: IssuedRecord) -> str:
    """What of one record does not hold by itself, its PDF apart; empty when all does."""
    if sha256_of(record.json) != record.sha256:
        return "its content is not what was hashed"
    content = record.read()
    issue = content["issue"]
    stated = (issue["number"], issue["revision"], issue["previous_sha256"])
    if stated != (record.number, record.revision, record.previous_sha256):
        return "its number, revision or link is not what its content says"
    return _photos(record, content)


def _photos(record: IssuedRecord, content: dict) -> str:
    rows = (*content["observations"], *content["load_register"])
    named = {row["photo"]["sha256"]: row["photo"]["name"] for row in rows if row["photo"]}
    kept = {photo.sha256: bytes(photo.content) for photo in record.photos.all()}
    for digest, name in named.items():
        if digest and (digest not in kept or sha256_of(kept[digest]) != digest):
            return f"its photograph {name} is missing or was changed"
    return ""
