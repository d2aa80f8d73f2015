"""Every place that has a given part: by kind, class, value, age, and who entered it. For a recall, for ageing
neons, for class X parts to earth, for parts used beyond their rating."""

from collections.abc import Mapping, Sequence

from django.db.models import QuerySet

from inspections.models import Member
from inspections.numbers import whole_number
from remedies.cautions import COMPETENT, ISOLATE
from remedies.enums import CapacitorClass, Connection, LoadKind, LoadState, Origin
from reports.audit.asked import EMPTY, Asked, Choice, Facet, Number, WholeNumbers, choices_of, yes_or_no
from reports.audit.bars import by_year
from reports.audit.question import Column, Order, Question
from reports.audit.tables import LoadAudit
from reports.audit.words import circuit_in_words, to_circuit, to_installation, to_load, years_before


def loads(asked: Asked) -> QuerySet:
    """Every load of the firm's registers, of the client and the age asked for."""
    rows = asked.rows(LoadAudit)
    years = asked.numbers.get("years")
    return rows.filter(since__lte=years_before(asked.day, years)) if years else rows


def with_places(found: QuerySet, asked: Asked) -> QuerySet:
    return found.select_related("load", "circuit__board", "entered_by")


def _names(keys: Sequence[str]) -> Mapping[str, str]:
    numbers = [pk for key in keys if (pk := whole_number(key))]
    return {str(pk): name for pk, name in Member.objects.filter(pk__in=numbers).values_list("pk", "name")}


def _age(row, asked) -> int:
    """Whole years since it has been there."""
    years = asked.day.year - row.since.year
    is_yet_to_come_round = (asked.day.month, asked.day.day) < (row.since.month, row.since.day)
    return years - 1 if is_yet_to_come_round else years


def _doubt(row, asked) -> str:
    told = ["Class X to earth: isolate and take it out."] if row.x_to_earth else []
    return " ".join([*told, f"Beyond its rating: {row.beyond_rating}" if row.beyond_rating else ""]).strip()


QUESTION = Question(
    key="parts",
    title="Where a part is",
    lead=(
        "Every entry of the load registers by kind, class, value, age and who entered it, with what "
        "today’s calculation says of its rating."
    ),
    one="entry",
    several="entries",
    numbers=(Number("years", "There for at least (years)", 0, 100),),
    facets=(
        Facet(
            "state",
            "State",
            "state",
            (*(Choice(value, words, value) for value, words in LoadState.choices),),
        ),
        Facet("beyond", "Rating", "is_beyond_rating", yes_or_no("Used beyond it", "Within it, or not known")),
        Facet("earth", "Class X to earth", "x_to_earth", yes_or_no("Class X to earth", "Not so")),
        Facet("kind", "Kind", "kind", choices_of(LoadKind.choices)),
        Facet("part", "Part", "part"),
        Facet(
            "class",
            "Class",
            "capacitor_class",
            (*choices_of(CapacitorClass.choices), Choice(EMPTY, "None", "")),
        ),
        Facet("across", "Across", "connection", choices_of(Connection.choices)),
        Facet("origin", "Fitted or found", "origin", choices_of(Origin.choices)),
        WholeNumbers("by", "Entered by", "entered_by", words=_names),
    ),
    columns=(
        Column("Installation", 46, lambda row, asked: row.place, to_installation),
        Column("Circuit", 40, circuit_in_words, to_circuit),
        Column("Part", 52, lambda row, asked: row.load.describe(), to_load),
        Column("Where", 44, lambda row, asked: row.load.place),
        Column("State", 24, lambda row, asked: LoadState(row.state).label),
        Column("Since", 20, lambda row, asked: row.since),
        Column("Years", 12, _age, is_number=True),
        Column("Fitted or found", 22, lambda row, asked: Origin(row.origin).label),
        Column("Entered by", 24, lambda row, asked: row.entered_by.name if row.entered_by else ""),
        Column("In doubt", 60, _doubt, None, lambda row, asked: True),
    ),
    orders={"place": Order("By installation", ("place",)), "oldest": Order("Oldest first", ("since",))},
    base=loads,
    figure=lambda found, asked: by_year(
        found, "since", "Entries by the year they were fitted or found", asked.day
    ),
    rows=with_places,
    links=(
        ("Neons 10 years and older", "kind=neon&kind=indicator&state=in_place&years=10"),
        ("Class X to earth", "earth=yes&state=in_place&state=disconnected"),
        ("Used beyond their rating", "beyond=yes&state=in_place&state=disconnected"),
    ),
    cautions=(COMPETENT, ISOLATE),
    notes=(
        "A rating is compared with the supply of the installation, 10 % above nominal, and the part’s "
        "tolerance. Where no rating is recorded nothing is said.",
        "At what age neons are replaced is the firm’s to say; ten years is only where the list begins.",
    ),
)
