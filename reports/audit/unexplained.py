"""Live-live readings that neither sound cable nor the load register explains, and nobody followed up."""

from django.db.models import QuerySet

from inspections.models.result import INSULATION_TEST_VOLTAGES
from remedies.cautions import COMPETENT
from reports.audit.asked import EMPTY, Asked, Choice, Facet, Number, choices_of
from reports.audit.bands import bands
from reports.audit.bars import by_year
from reports.audit.question import Column, Order, Question
from reports.audit.tables import CircuitAudit
from reports.audit.words import circuit_in_words, to_circuit, to_installation, years_before

_AGES = (("new", "In the last year"), ("year", "One to five years ago"), ("old", "Over five years ago"))


def circuits(asked: Asked) -> QuerySet:
    """Circuits whose last reading is unexplained, and older than asked for."""
    rows = asked.rows(CircuitAudit).filter(read_on__isnull=False)
    years = asked.numbers.get("years")
    if years:
        rows = rows.filter(read_on__lte=years_before(asked.day, years))
    return rows.annotate(
        age=bands(
            "read_on",
            ("new", "gt", years_before(asked.day, 1)),
            ("year", "gt", years_before(asked.day, 5)),
            otherwise="old",
        )
    )


def _reading(row, asked) -> str:
    at = f" at {row.volts} V" if row.volts else ", voltage not recorded"
    return f"{row.reading} MΩ{at}"


QUESTION = Question(
    key="unexplained",
    title="Unexplained readings never followed up",
    lead=(
        "The last live-live reading of these circuits is explained neither by sound cable nor by what is "
        "registered across them, and nothing was written about it since."
    ),
    one="circuit",
    several="circuits",
    numbers=(Number("years", "Read at least so many years ago", 0, 100),),
    facets=(
        Facet("age", "Read", "age", choices_of(_AGES)),
        Facet(
            "volts",
            "Test voltage",
            "volts",
            (
                *(Choice(str(volts), words, volts) for volts, words in INSULATION_TEST_VOLTAGES),
                Choice(EMPTY, "Not recorded", None),
            ),
        ),
    ),
    columns=(
        Column("Installation", 52, lambda row, asked: row.place, to_installation),
        Column("Circuit", 50, circuit_in_words, to_circuit),
        Column("Reading", 38, _reading),
        Column("Read on", 24, lambda row, asked: row.read_on),
        Column("Unexplained since", 26, lambda row, asked: row.unexplained_since),
        Column("What the register says", 90, lambda row, asked: row.summary),
    ),
    orders={"oldest": Order("Oldest first", ("read_on",)), "place": Order("By installation", ("place",))},
    base=circuits,
    figure=lambda found, asked: by_year(
        found, "read_on", "Unexplained readings by the year they were taken", asked.day
    ),
    rows=lambda found, asked: found.select_related("circuit__board"),
    cautions=(COMPETENT,),
    notes=(
        "Followed up is: a later reading that is explained; an observation of the circuit at that visit or "
        "later, or an earlier one still open; a load of the circuit entered since; or one suspected now.",
    ),
)
