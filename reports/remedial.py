"""What became of the observations of an inspection, gathered from the record as it stands: plain values."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from inspections.models import Inspection, Observation
from inspections.words import on_one_line
from remedies.cautions import COMPETENT, ISOLATE
from reports.content.said import URGENCY
from reports.models import IssuedRecord
from reports.sheets.sheet import Fact


@dataclass(frozen=True, slots=True)
class Answered:
    """One observation, and what put it right; on is None while it is open. number: as the report of the
    inspection numbers it."""

    number: int
    code: str
    where: str
    text: str
    regulation: str
    on: date | None
    by: str
    evidence: str


@dataclass(frozen=True, slots=True)
class Remedial:
    """The remedial report of one inspection, as known on the day ``on``."""

    installation: str
    visit: str
    firm: str
    notice: str
    on: date
    facts: tuple[Fact, ...]
    observations: tuple[Answered, ...]
    cautions: tuple[str, ...]

    @property
    def put_right(self) -> tuple[Answered, ...]:
        """In the order of their days."""
        done = (one for one in self.observations if one.on)
        return tuple(sorted(done, key=lambda one: (one.on, one.number)))

    @property
    def still_open(self) -> tuple[Answered, ...]:
        """The most urgent first."""
        return tuple(one for one in self.observations if one.on is None)


def remedial(inspection: Inspection, on: date) -> Remedial:
    """The observations of an inspection with what is recorded as put right by the day ``on``."""
    place = inspection.installation
    record = IssuedRecord.objects.filter(inspection=inspection).defer("content").first()
    return Remedial(
        installation=place.name,
        visit=str(inspection),
        firm=place.firm.name,
        notice=place.firm.notice,
        on=on,
        facts=(
            Fact("Client", place.client.name),
            Fact("Installation", place.name),
            Fact("Address", on_one_line(f"{place.address}\n{place.postcode}")),
            Fact("Inspection", str(inspection)),
            Fact("Report", str(record) if record else "not issued here"),
            Fact("As known on", f"{on:%-d %b %Y}"),
        ),
        observations=tuple(_answered(inspection, on)),
        cautions=(COMPETENT, ISOLATE),
    )


def _answered(inspection: Inspection, on: date) -> Iterable[Answered]:
    rows = inspection.observations.select_related("board", "circuit__board").order_by("pk")
    for number, row in enumerate(sorted(rows, key=lambda row: URGENCY.index(row.code)), start=1):
        done = row.put_right_on if row.put_right_on and row.put_right_on <= on else None
        yield Answered(
            number=number,
            code=row.code or "–",
            where=_where(row),
            text=row.text,
            regulation=row.regulation,
            on=done,
            by=row.put_right_by if done else "",
            evidence=row.evidence if done else "",
        )


def _where(row: Observation) -> str:
    at = str(row.circuit) if row.circuit else row.board.designation if row.board else ""
    return ", ".join(filter(None, (at, row.place)))
