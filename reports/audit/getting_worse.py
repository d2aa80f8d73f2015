"""Readings that got worse: which circuits, how near to the limit, and when the line meets it."""

from datetime import date, timedelta

from django.db.models import Count, QuerySet

from inspections.rules.trend import AHEAD_YEARS
from remedies.cautions import COMPETENT, ISOLATE
from remedies.full_test import DAYS_A_YEAR
from reports.audit.asked import Asked, Facet, choices_of, yes_or_no
from reports.audit.bands import USED, bands, used
from reports.audit.question import Column, Order, Question
from reports.audit.tables import NEVER, Test, TrendAudit
from reports.audit.words import circuit_in_words, in_years, to_circuit, to_installation
from reports.sheets.figure import Bars

_LINES = (
    ("past", "Met it already, since read"),
    ("two", "Meets it within 2 years"),
    ("five", "Within 2 to 5 years"),
    ("later", "Later"),
    ("none", "No line is drawn"),
)


def readings(asked: Asked) -> QuerySet:
    """Every last reading that got worse."""
    return asked.rows(TrendAudit).annotate(
        line=bands(
            "meets_on",
            ("past", "lte", asked.day),
            ("two", "lte", _ahead(asked.day, 2)),
            ("five", "lte", _ahead(asked.day, 5)),
            ("later", "lt", NEVER),
            otherwise="none",
        ),
        now=used("percent"),
    )


def _ahead(day: date, years: int) -> date:
    return day + timedelta(days=round(years * DAYS_A_YEAR))


def drawn(found: QuerySet, asked: Asked) -> Bars | None:
    """How many lines meet their limit in each year; nothing where no line is drawn."""
    counts: dict[str, int] = {}
    days = found.exclude(meets_on=NEVER).order_by().values_list("meets_on").annotate(n=Count("*"))
    for on, number in days:
        label = "before" if on.year < asked.day.year else f"{on.year}"
        counts[label] = counts.get(label, 0) + number
    if not counts:
        return None
    labels = ["before", *(f"{asked.day.year + year}" for year in range(AHEAD_YEARS + 1))]
    return Bars("Lines by the year they meet the limit", tuple((one, counts.get(one, 0)) for one in labels))


def _unit(row) -> str:
    return "Ω" if row.test == Test.ZS else "MΩ"


def _was(row, asked) -> str:
    return f"{row.was} {_unit(row)}, {row.was_on:%-d %b %Y}"


def _is(row, asked) -> str:
    at = f" at {row.volts} V" if row.volts else ""
    return f"{row.reading} {_unit(row)}{at}, {row.read_on:%-d %b %Y}"


def _has_line(row) -> bool:
    return row.meets_on != NEVER


def _when(row, asked) -> str:
    if not _has_line(row):
        return ""
    return f"{row.meets_on:%B %Y}, {'equal shares' if row.by_share else 'straight'}"


def _range(row, asked) -> str:
    if not _has_line(row):
        return ""
    until = f"{row.meets_until:%B %Y}" if row.meets_until else "perhaps never"
    return f"{row.meets_from:%B %Y} to {until}, from {row.readings} readings"


def _years(row, asked) -> str:
    if not _has_line(row):
        return ""
    days = (row.meets_on - asked.day).days
    return in_years(days) if days > 0 else "past"


QUESTION = Question(
    key="getting-worse",
    title="Readings that get worse",
    lead=(
        "Circuits whose insulation fell by more than half, Zs rose, or a line through the readings meets "
        "the limit within ten years. What uses most of its limit comes first."
    ),
    one="reading",
    several="readings",
    numbers=(),
    facets=(
        Facet("test", "Reading", "test", choices_of(Test.choices)),
        Facet("now", "Now", "now", choices_of(USED)),
        Facet("changed", "Since the reading before", "has_changed", yes_or_no("Got worse", "No such change")),
        Facet("line", "Line through the readings", "line", choices_of(_LINES)),
    ),
    columns=(
        Column("Installation", 46, lambda row, asked: row.place, to_installation),
        Column("Circuit", 44, circuit_in_words, to_circuit),
        Column("Reading", 34, lambda row, asked: Test(row.test).label),
        Column("Was", 34, _was),
        Column("Is", 42, _is, None, lambda row, asked: row.percent > 100),
        Column("Limit", 20, lambda row, asked: f"{row.limit} {_unit(row)}" if row.limit else "not known"),
        Column("Of the limit (%)", 18, lambda row, asked: row.percent or "", is_number=True),
        Column("Line meets the limit", 36, _when),
        Column("In years", 16, _years, is_number=True),
        Column("Range, 95 %", 52, _range),
    ),
    orders={
        "worst": Order("Nearest to the limit first", ("-percent",)),
        "soonest": Order("Line meets the limit soonest", ("meets_on",)),
        "place": Order("By installation", ("place",)),
    },
    base=readings,
    figure=drawn,
    rows=lambda found, asked: found.select_related("circuit__board"),
    links=(
        ("Meets its limit within two years", "line=past&line=two&order=soonest"),
        ("Past its limit", "now=over"),
    ),
    cautions=(COMPETENT, ISOLATE),
    notes=(
        "Of the limit: the least insulation over the reading, or Zs over its maximum; 100 % is still within. "
        "A reading beyond the range is a bound: from “>200” to 150 is no fall, to 99 it is.",
        "A line is drawn through three or more exact readings, of insulation at the same test voltage, and "
        "not where the last is past the limit already; straight, or for insulation falling by equal shares a "
        "year where that lies nearer. The range is where the line may meet the limit with 95 % confidence; "
        "weather, instruments and work done since are not in it. Few readings tell little.",
    ),
)
