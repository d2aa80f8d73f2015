"""Circuits that have gone without a full line-neutral insulation test: since when, why, and what would lift
it for the least work."""

from dataclasses import dataclass

from django.db.models import Count, F, FloatField, QuerySet, Sum
from django.db.models.functions import Cast
from django.urls import reverse

from remedies.cautions import COMPETENT, ISOLATE, RECONNECT
from reports.audit.asked import Asked, Facet, Number, choices_of
from reports.audit.bars import by_year
from reports.audit.question import Column, Order, Question
from reports.audit.tables import CircuitAudit, Lift
from reports.audit.words import circuit_in_words, in_years, to_circuit, to_installation, years_before

PLACES_NAMED = 5


def circuits(asked: Asked) -> QuerySet:
    """Circuits without a full test for the inspections and the years asked for."""
    rows = asked.rows(CircuitAudit).filter(without__gt=0)
    visits, years = asked.numbers.get("visits"), asked.numbers.get("years")
    if visits and visits > 1:
        rows = rows.filter(without__gte=visits)
    return rows.filter(since__lte=years_before(asked.day, years)) if years else rows


@dataclass(frozen=True)
class LeastWork:
    """A place where circuits can be tested in full for little work."""

    name: str
    circuits: int
    minutes: int
    link: str

    def __str__(self) -> str:
        what = "circuit" if self.circuits == 1 else "circuits"
        return f"{self.circuits} {what} for {self.minutes} minutes"


def least_work(found: QuerySet, asked: Asked) -> list[LeastWork]:
    """The places where a minute of disconnecting lifts most, of circuits whose times are recorded."""
    grouped = (
        found.filter(lift=Lift.TIMED, minutes__gt=0)
        .order_by()
        .values("installation", "place")
        .annotate(n=Count("*"), m=Sum("minutes"))
        .annotate(a_minute=Cast(F("n"), FloatField()) / F("m"))
        .order_by("-a_minute", "-n", "installation")
    )
    return [
        LeastWork(row["place"], row["n"], row["m"], reverse("installation", args=[row["installation"]]))
        for row in grouped[:PLACES_NAMED]
    ]


def _minutes(row, asked) -> int | str:
    return row.minutes if row.lift == Lift.TIMED else ""


def _years(row, asked) -> str:
    return in_years((asked.day - row.since).days) if row.since else ""


QUESTION = Question(
    key="without-a-full-test",
    title="Circuits without a full line-neutral test",
    lead="Limitations that stand year after year: since when, why, and what would lift them.",
    one="circuit",
    several="circuits",
    numbers=(
        Number("visits", "Inspections without, at least", 1, 50, default=1),
        Number("years", "Years without, at least", 0, 100),
    ),
    facets=(
        Facet("lift", "What is in the way", "lift", choices_of(Lift.choices)),
        Facet("reason", "Reason of the limitation", "reason"),
    ),
    columns=(
        Column("Installation", 52, lambda row, asked: row.place, to_installation),
        Column("Circuit", 48, circuit_in_words, to_circuit),
        Column("Inspections without", 22, lambda row, asked: row.without, is_number=True),
        Column("Last full test", 24, lambda row, asked: row.last_full or "none on record"),
        Column("Years", 14, _years, is_number=True),
        Column("Reason", 64, lambda row, asked: row.reason or "none recorded"),
        Column("Loads to disconnect", 22, lambda row, asked: row.in_the_way or "", is_number=True),
        Column("Minutes", 18, _minutes, is_number=True),
    ),
    orders={
        "longest": Order("Longest first", ("since",)),
        "least": Order("Least work first", ("minutes",)),
        "place": Order("By installation", ("place",)),
    },
    base=circuits,
    figure=lambda found, asked: by_year(
        found, "since", "Circuits by the year since when they go without", asked.day
    ),
    rows=lambda found, asked: found.select_related("circuit__board"),
    aside=least_work,
    cautions=(COMPETENT, ISOLATE, RECONNECT),
    notes=(
        "A full test is one between live conductors, measured at the voltage the rules ask of the circuit; a "
        "voltage not recorded is taken as the full one. Fault visits do not count.",
    ),
)
