"""The audit's rows worked out from the record, of every place whose record has changed."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date

from django.db import transaction

from inspections.models import Firm, Installation
from inspections.rules.rule_file import EditionError
from reports.audit.batch import Batch, Place
from reports.audit.over_years import over_years
from reports.audit.rows_due import due_rows, instrument_rows
from reports.audit.rows_of_circuits import circuit_rows
from reports.audit.rows_of_loads import load_rows
from reports.audit.tables import (
    AuditMark,
    CircuitAudit,
    Due,
    DueAudit,
    LoadAudit,
    PlaceAudit,
    TrendAudit,
    YearAudit,
)

PLACES_AT_ONCE = 200  # worked out while a person waits; more are left to ``manage.py work_out_audit``
_BATCH = 50


@dataclass
class Facts:
    """Rows to be written."""

    places: list[PlaceAudit] = field(default_factory=list)
    loads: list[LoadAudit] = field(default_factory=list)
    circuits: list[CircuitAudit] = field(default_factory=list)
    due: list[DueAudit] = field(default_factory=list)
    years: list[YearAudit] = field(default_factory=list)
    trends: list[TrendAudit] = field(default_factory=list)

    def add(self, place: Place) -> None:
        """All rows of a place."""
        self.places.append(
            PlaceAudit(**place.of_firm, name=place.name, client_name=place.installation.client.name)
        )
        self.loads += load_rows(place)
        self.circuits += circuit_rows(place)
        self.due += due_rows(place)
        with suppress(EditionError):  # held to an edition that is not there: nothing can be compared
            years, trends = over_years(place)
            self.years += years
            self.trends += trends


def bring_up_to_date(firm: Firm, on: date, limit: int | None = PLACES_AT_ONCE) -> int:
    """Work out what changed since the last time, of ``limit`` places at most; returns how many are left."""
    if AuditMark.objects.filter(firm_id=firm.pk).exists():
        _work_out_instruments(firm)
    marked = _marked(firm)
    now = marked if limit is None else marked[:limit]
    for first in range(0, len(now), _BATCH):
        _work_out(now[first : first + _BATCH], on)
    return len(marked) - len(now)


def mark_everything(firm: Firm) -> None:
    """Have every place of a firm worked out anew."""
    places = Installation.objects.for_firm(firm).order_by("pk").values_list("pk", flat=True)
    AuditMark.objects.bulk_create(
        (AuditMark(installation_id=pk) for pk in places.iterator()), batch_size=1000
    )
    AuditMark.objects.create(firm_id=firm.pk)


def _marked(firm: Firm) -> list[int]:
    of_firm = Installation.objects.for_firm(firm).filter(
        pk__in=AuditMark.objects.filter(installation_id__isnull=False).values("installation_id")
    )
    return list(of_firm.order_by("pk").values_list("pk", flat=True))


@transaction.atomic
def _work_out(places: Sequence[int], on: date) -> None:
    # The rows are held so that two who ask at once do not both write them; the marks go before the record is
    # read, so that a change that comes meanwhile is marked anew.
    installations = list(
        Installation.objects.select_for_update(of=("self",), no_key=True)
        .filter(pk__in=places)
        .select_related("client")
        .order_by("pk")
    )
    AuditMark.objects.filter(installation_id__in=places).delete()
    batch, facts = Batch(installations, on), Facts()
    for installation in installations:
        facts.add(Place(installation, batch))
    for model, rows in (
        (PlaceAudit, facts.places),
        (LoadAudit, facts.loads),
        (CircuitAudit, facts.circuits),
        (DueAudit, facts.due),
        (YearAudit, facts.years),
        (TrendAudit, facts.trends),
    ):
        model.objects.filter(installation__in=places).delete()
        model.objects.bulk_create(rows, batch_size=500)


@transaction.atomic
def _work_out_instruments(firm: Firm) -> None:
    AuditMark.objects.filter(firm_id=firm.pk).delete()
    DueAudit.objects.filter(firm=firm, what=Due.CALIBRATION).delete()
    DueAudit.objects.bulk_create(instrument_rows(firm))
