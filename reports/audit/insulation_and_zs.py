"""How insulation and Zs went, place by place and year by year."""

from collections.abc import Callable, Sequence
from urllib.parse import urlencode

from django.db.models import Count, QuerySet

from remedies.cautions import COMPETENT
from reports.audit.asked import Asked, Facet, WholeNumbers, choices_of, yes_or_no
from reports.audit.bands import USED, bands, used
from reports.audit.question import Column, Link, Order, Question
from reports.audit.tables import NOT_READ_MOHM, YearAudit
from reports.audit.words import to_installation
from reports.sheets.figure import Point, Series, Years

_LOWEST = (
    ("under 1", "Under 1 MΩ"),
    ("under 10", "1 to 10 MΩ"),
    ("under 100", "10 to 100 MΩ"),
    ("more", "100 MΩ and more"),
    ("none", "None read"),
)


def years(asked: Asked) -> QuerySet:
    """Every year in which a place was read."""
    return asked.rows(YearAudit).annotate(
        lowest=bands(
            "live_earth_mohm",
            ("under 1", "lt", 1),
            ("under 10", "lt", 10),
            ("under 100", "lt", 100),
            ("more", "lt", NOT_READ_MOHM),
            otherwise="none",
        ),
        worst=used("zs_percent"),
        has_fallen=bands("fallen", ("yes", "gt", 0), otherwise="no"),
        goes_towards=bands("towards", ("yes", "gt", 0), otherwise="no"),
    )


def drawn(found: QuerySet, asked: Asked) -> Years:
    """Live-earth by year: the lowest of all places, and the median of the places' medians."""
    return Years(
        "Insulation, live-earth, by year of the installations found",
        "MΩ",
        (
            Series("median of the installations’ medians", _of_years(found, "live_earth_median", _median)),
            Series("lowest", _of_years(found, "live_earth", min)),
        ),
    )


def _of_years(found: QuerySet, column: str, of: Callable[[list[Point]], Point]) -> tuple[Point, ...]:
    by_year: dict[int, list[Point]] = {}
    grouped = found.exclude(**{column: ""}).order_by().values_list("year", column).annotate(n=Count("*"))
    for year, text, number in grouped:
        by_year.setdefault(year, []).extend([Point.read(text, year)] * number)
    return tuple(of(by_year[year]) for year in sorted(by_year))


def _median(read: Sequence[Point]) -> Point:
    return sorted(read)[(len(read) - 1) // 2]


def _to_circuit(column: str) -> Callable:
    def link(row) -> Link | None:
        pk = getattr(row, column)
        return Link("circuit", pk) if pk else None

    return link


def _to_worse(count: str, **chosen) -> Callable:
    """The circuits behind a count, which are kept of the last readings alone."""

    def link(row) -> Link | None:
        if not (row.is_latest and getattr(row, count)):
            return None
        query = urlencode({"place": row.installation_id, **chosen}, doseq=True)
        return Link("audit_question", "getting-worse", query)

    return link


QUESTION = Question(
    key="insulation-and-zs",
    title="Insulation and Zs by installation and year",
    lead="Readings of each installation in each year: lowest and median insulation, and worst Zs.",
    one="year of an installation",
    several="years of installations",
    numbers=(),
    facets=(
        Facet("latest", "Year", "is_latest", yes_or_no("The latest", "Earlier")),
        WholeNumbers("year", "Read in", "year", by_value=True),
        Facet("lowest", "Lowest live-earth", "lowest", choices_of(_LOWEST)),
        Facet("zs", "Worst Zs", "worst", choices_of(USED)),
        Facet(
            "fallen",
            "Since the reading before",
            "has_fallen",
            choices_of((("yes", "A circuit got worse"), ("no", "None did"))),
        ),
        Facet(
            "towards",
            "Towards the limit",
            "goes_towards",
            choices_of((("yes", "A circuit within ten years"), ("no", "None"))),
        ),
    ),
    columns=(
        Column("Installation", 52, lambda row, asked: row.place, to_installation),
        Column("Year", 14, lambda row, asked: row.year, is_number=True),
        Column("Circuits read", 18, lambda row, asked: row.circuits, is_number=True),
        Column("Live-earth lowest (MΩ)", 26, lambda row, asked: row.live_earth, _to_circuit("live_earth_of")),
        Column("median (MΩ)", 24, lambda row, asked: row.live_earth_median),
        Column("Live-live lowest (MΩ)", 26, lambda row, asked: row.live_live, _to_circuit("live_live_of")),
        Column("median (MΩ)", 24, lambda row, asked: row.live_live_median),
        Column(
            "Worst Zs, of its limit",
            24,
            lambda row, asked: row.zs,
            _to_circuit("zs_of"),
            lambda row, asked: row.zs_percent > 100,
        ),
        Column(
            "Circuits worse than before",
            24,
            lambda row, asked: row.fallen or "",
            _to_worse("fallen", changed="yes"),
            lambda row, asked: row.fallen > 0,
            is_number=True,
        ),
        Column(
            "Towards the limit",
            22,
            lambda row, asked: row.towards or "",
            _to_worse("towards", line=["past", "two", "five", "later"]),
            lambda row, asked: row.towards > 0,
            is_number=True,
        ),
    ),
    orders={
        "place": Order("By installation, latest first", ("place", "installation_id", "-year")),
        "earth": Order("Lowest live-earth first", ("live_earth_mohm",)),
        "live": Order("Lowest live-live first", ("live_live_mohm",)),
        "zs": Order("Worst Zs first", ("-zs_percent",)),
    },
    base=years,
    figure=drawn,
    links=(
        ("Installations as last read, lowest insulation first", "latest=yes&order=earth"),
        ("Installations as last read, worst Zs first", "latest=yes&order=zs"),
    ),
    cautions=(COMPETENT,),
    notes=(
        "Of each circuit still there, the last reading of the year. A reading beyond the range is a bound: "
        "“>200” is more than 200, however much. LIM, N/V and N/A are not readings. Of two in the middle the "
        "median is the lower.",
        "Zs is compared with the limit calculated today, or with the typed one where none can be. Worse than "
        "before: insulation that fell by more than half at the same test voltage, or Zs that rose by more "
        "than 20 % and 0.1 Ω, less what Ze rose by. A low live-live reading may be a load left across the "
        "line.",
    ),
)
