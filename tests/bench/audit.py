"""The audit over an invented firm: each question beside hand-written SQL for the same answer, its plan, and
its pages far down the list.

The ratio is of the statements alone, ours as Django sent them, replayed; building them takes a few
milliseconds more whatever the size of the firm, which the last column of each line tells.
"""

import io
from collections.abc import Iterator
from datetime import date

from django.core.management import call_command
from django.db import connection
from django.db.models import Count, Exists, OuterRef
from django.test.utils import CaptureQueriesContext

from inspections.models import Firm, Installation
from remedies.models import ParallelLoad
from reports.audit.asked import Asked
from reports.audit.question import ROWS_A_PAGE, answer
from reports.audit.questions import QUESTIONS
from tests.bench.timing import best_of, line

CIRCUITS = 8_000
TODAY = date(2026, 11, 25)
_LOADS = "firm_id = %(firm)s AND seen_at_500 AND state IN ('in_place', 'disconnected', 'suspected')"
_WHEN = (
    "CASE WHEN \"on\" < %(year)s THEN 'year' WHEN \"on\" <= %(day)s THEN 'late'"
    " WHEN \"on\" <= %(soon)s THEN 'soon' ELSE 'later' END"
)
_AGE = "CASE WHEN read_on > %(year)s THEN 'new' WHEN read_on > %(five)s THEN 'year' ELSE 'old' END"
_USED = "CASE WHEN {0} > 100 THEN 'over' WHEN {0} > 80 THEN 'near' WHEN {0} > 0 THEN 'within' ELSE 'none' END"
_LINE = (
    "CASE WHEN meets_on <= %(day)s THEN 'past' WHEN meets_on <= %(in_two)s THEN 'two' WHEN meets_on <="
    " %(in_five)s THEN 'five' WHEN meets_on < '9999-12-31' THEN 'later' ELSE 'none' END"
)
_LOWEST = (
    "CASE WHEN live_earth_mohm < 1 THEN 'under 1' WHEN live_earth_mohm < 10 THEN 'under 10' WHEN"
    " live_earth_mohm < 100 THEN 'under 100' WHEN live_earth_mohm < 1e9 THEN 'more' ELSE 'none' END"
)
_CIRCUIT = "JOIN inspections_circuit c ON c.id = a.circuit_id JOIN inspections_board b ON b.id = c.board_id"

# By question: what a person would write for the page, its counts and the rest, and the indexes it rests on.
BY_HAND: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "loads-in-the-way": (
        (
            f"SELECT state, label, is_hidden, kind, count(*) FROM reports_loadaudit WHERE {_LOADS}"
            " GROUP BY state, label, is_hidden, kind",
            f"SELECT count(DISTINCT installation_id) FROM reports_loadaudit WHERE {_LOADS}",
            "SELECT * FROM reports_placeaudit p WHERE p.firm_id = %(firm)s AND EXISTS (SELECT 1 FROM"
            f" reports_loadaudit l WHERE l.installation_id = p.installation_id AND l.{_LOADS})"
            " ORDER BY name, installation_id LIMIT 51",
            "SELECT installation_id, kind, state, is_hidden, label, count(*) FROM reports_loadaudit WHERE"
            f" {_LOADS} AND installation_id IN (SELECT p.installation_id FROM reports_placeaudit p WHERE"
            f" p.firm_id = %(firm)s AND EXISTS (SELECT 1 FROM reports_loadaudit l WHERE l.installation_id ="
            f" p.installation_id AND l.{_LOADS}) ORDER BY name, installation_id LIMIT 50)"
            " GROUP BY installation_id, kind, state, is_hidden, label",
            f"SELECT kind, count(*) AS n FROM reports_loadaudit WHERE {_LOADS} GROUP BY kind ORDER BY n DESC",
        ),
        ("audit_load_500", "audit_place_in_order", "audit_load_of_place"),
    ),
    "parts": (
        (
            "SELECT state, is_beyond_rating, x_to_earth, kind, capacitor_class, connection, origin, count(*)"
            " FROM reports_loadaudit WHERE firm_id = %(firm)s GROUP BY 1, 2, 3, 4, 5, 6, 7",
            "SELECT part, count(*) AS n FROM reports_loadaudit WHERE firm_id = %(firm)s GROUP BY part"
            " ORDER BY n DESC, part LIMIT 12",
            "SELECT since, count(*) FROM reports_loadaudit WHERE firm_id = %(firm)s GROUP BY since",
            "SELECT entered_by_id, count(*) AS n FROM reports_loadaudit WHERE firm_id = %(firm)s"
            " GROUP BY entered_by_id ORDER BY n DESC LIMIT 12",
            "SELECT a.*, l.*, c.*, b.*, m.* FROM (SELECT * FROM reports_loadaudit WHERE firm_id = %(firm)s"
            " ORDER BY place, load_id LIMIT 51) a JOIN remedies_parallelload l ON l.id = a.load_id"
            f" {_CIRCUIT} LEFT JOIN inspections_member m ON m.id = a.entered_by_id"
            " ORDER BY a.place, a.load_id",
        ),
        ("audit_load_by_choice", "audit_load_by_part", "audit_load_by_member", "audit_load_in_order"),
    ),
    "without-a-full-test": (
        (
            "SELECT lift, count(*) FROM reports_circuitaudit WHERE firm_id = %(firm)s AND without > 0"
            " GROUP BY lift",
            "SELECT since, count(*) FROM reports_circuitaudit WHERE firm_id = %(firm)s AND without > 0"
            " GROUP BY since",
            "SELECT reason, count(*) AS n FROM reports_circuitaudit WHERE firm_id = %(firm)s AND without > 0"
            " GROUP BY reason ORDER BY n DESC, reason LIMIT 12",
            "SELECT a.*, c.*, b.* FROM (SELECT * FROM reports_circuitaudit WHERE firm_id = %(firm)s AND"
            f" without > 0 ORDER BY since, circuit_id LIMIT 51) a {_CIRCUIT} ORDER BY a.since, a.circuit_id",
            "SELECT installation_id, place, count(*) AS n, sum(minutes) AS m FROM reports_circuitaudit WHERE"
            " firm_id = %(firm)s AND without > 0 AND lift = 'timed' AND minutes > 0"
            " GROUP BY installation_id, place ORDER BY 1.0 * count(*) / sum(minutes) DESC, n DESC,"
            " installation_id LIMIT 5",
        ),
        ("audit_circuit_reason", "audit_circuit_longest", "audit_circuit_work"),
    ),
    "unexplained": (
        (
            f"SELECT {_AGE}, volts, count(*) FROM reports_circuitaudit WHERE firm_id = %(firm)s AND"
            f" read_on IS NOT NULL GROUP BY {_AGE}, volts",
            "SELECT a.*, c.*, b.* FROM (SELECT * FROM reports_circuitaudit WHERE firm_id = %(firm)s AND"
            " read_on IS NOT NULL ORDER BY read_on, circuit_id LIMIT 51) a"
            f" {_CIRCUIT} ORDER BY a.read_on, a.circuit_id",
            "SELECT read_on, count(*) FROM reports_circuitaudit WHERE firm_id = %(firm)s AND"
            " read_on IS NOT NULL GROUP BY read_on",
        ),
        ("audit_circuit_unexplained",),
    ),
    "falling-due": (
        (
            f"SELECT {_WHEN}, what, count(*) FROM reports_dueaudit WHERE firm_id = %(firm)s"
            f" GROUP BY {_WHEN}, what",
            'SELECT "on", count(*) FROM reports_dueaudit WHERE firm_id = %(firm)s GROUP BY "on"',
            'SELECT * FROM reports_dueaudit WHERE firm_id = %(firm)s ORDER BY "on", id LIMIT 51',
        ),
        ("audit_due_what", "audit_due_in_order"),
    ),
    "getting-worse": (
        (
            f"SELECT test, has_changed, {_USED.format('percent')}, {_LINE}, count(*) FROM reports_trendaudit"
            f" WHERE firm_id = %(firm)s GROUP BY 1, 2, 3, 4",
            "SELECT meets_on, count(*) FROM reports_trendaudit WHERE firm_id = %(firm)s AND meets_on <>"
            " '9999-12-31' GROUP BY meets_on",
            "SELECT a.*, c.*, b.* FROM (SELECT * FROM reports_trendaudit WHERE firm_id = %(firm)s"
            f" ORDER BY percent DESC, id LIMIT 51) a {_CIRCUIT} ORDER BY a.percent DESC, a.id",
        ),
        ("audit_trend_by_choice", "audit_trend_soonest", "audit_trend_worst"),
    ),
    "insulation-and-zs": (
        (
            f"SELECT is_latest, {_LOWEST}, {_USED.format('zs_percent')}, fallen > 0, towards > 0, count(*)"
            " FROM reports_yearaudit WHERE firm_id = %(firm)s GROUP BY 1, 2, 3, 4, 5",
            "SELECT year, count(*) FROM reports_yearaudit WHERE firm_id = %(firm)s GROUP BY year"
            " ORDER BY year DESC LIMIT 12",
            "SELECT year, live_earth_median, count(*) FROM reports_yearaudit WHERE firm_id = %(firm)s AND"
            " live_earth_median <> '' GROUP BY year, live_earth_median",
            "SELECT year, live_earth, count(*) FROM reports_yearaudit WHERE firm_id = %(firm)s AND"
            " live_earth <> '' GROUP BY year, live_earth",
            "SELECT * FROM reports_yearaudit WHERE firm_id = %(firm)s"
            " ORDER BY place, installation_id, year DESC, id LIMIT 51",
        ),
        ("audit_year_by_choice", "audit_year_drawn", "audit_year_in_order"),
    ),
}


def report(circuits: int = CIRCUITS) -> Iterator[str]:
    """Every line that ``make bench`` prints for the audit."""
    seconds = best_of(
        1, lambda: call_command("make_firm", circuits=circuits, no_audit=True, stdout=io.StringIO())
    )
    yield f"{f'a firm of {circuits:,} circuits made':58} {seconds:8.1f} s"
    seconds = best_of(1, lambda: call_command("work_out_audit", stdout=io.StringIO()))
    yield f"{'its audit worked out':58} {seconds:8.1f} s"
    yield from of_firm(Firm.objects.latest("pk"))


def of_firm(firm: Firm) -> Iterator[str]:
    """Each question asked of a firm."""
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    for key, (by_hand, indexes) in BY_HAND.items():
        yield from _question(key, firm, by_hand, indexes)
    yield from _from_the_record(firm)


def _question(key: str, firm: Firm, by_hand: tuple[str, ...], indexes: tuple[str, ...]) -> Iterator[str]:
    question = QUESTIONS[key]
    numbers = {number.name: number.default for number in question.numbers}
    asked = Asked(firm, TODAY, numbers=numbers)
    with CaptureQueriesContext(connection) as captured:
        answer(question, asked)
    ours = [query["sql"] for query in captured]
    given = {
        "firm": firm.pk, "day": TODAY, "year": date(2025, 11, 25), "five": date(2021, 11, 25),
        "soon": date(2027, 1, 24), "in_two": date(2028, 11, 24), "in_five": date(2031, 11, 25),
    }  # fmt: skip

    def replay() -> None:
        with connection.cursor() as cursor:
            for sql in ours:
                cursor.execute(sql.replace("%", "%%"), ())
                cursor.fetchall()

    def reference() -> None:
        with connection.cursor() as cursor:
            for sql in by_hand:
                cursor.execute(sql, given)
                cursor.fetchall()

    told = line(f"audit: {key}, {len(ours)} statements", best_of(5, replay), best_of(5, reference), 1.5)
    yield f"{told}  whole answer {best_of(5, lambda: answer(question, asked)) * 1000:.1f} ms"
    last = _far_down(question, firm, numbers)
    if last:
        later = best_of(5, lambda: answer(question, Asked(firm, TODAY, numbers=numbers, after=last)))
        yield f"{'  a page near the end':58} {later * 1000:8.1f} ms"
    lost = set(indexes) - set(indexes_used(ours, indexes))
    yield f"  plan: {'all of ' + ', '.join(indexes) if not lost else 'LOST: ' + ', '.join(sorted(lost))}"


def _from_the_record(firm: Firm) -> Iterator[str]:
    """The first question without the audit's rows: over the record itself, by its foreign-key indexes, and
    without the state of labels, which no statement tells."""
    question = QUESTIONS["loads-in-the-way"]
    asked = Asked(firm, TODAY, numbers={"volts": 500})
    loads = ParallelLoad.objects.for_firm(firm).current().seen_live_live(500)
    loads = loads.filter(circuit__retired_on__isnull=True, circuit__board__retired_on__isnull=True)

    def from_record() -> None:
        list(loads.order_by().values_list("state", "is_hidden", "kind").annotate(Count("pk")))
        there = Exists(loads.filter(circuit__board__installation=OuterRef("pk")))
        places = Installation.objects.for_firm(firm).filter(there)
        places.count()
        list(places.order_by("name", "pk")[:50])

    ours, record = best_of(5, lambda: answer(question, asked)), best_of(3, from_record)
    yield (
        f"{'audit: loads-in-the-way, against the record itself':58} {ours * 1000:8.1f} ms"
        f"  {record * 1000:8.1f} ms {ours / record:7.2f}  (≤ 0.1 from 200,000 circuits on)"
    )


def _far_down(question, firm, numbers) -> int | None:
    """The row after which one page is left."""
    asked = Asked(firm, TODAY, numbers=numbers)
    fields = [*question.order(asked).fields, "pk"]
    rows = question.rows(question.found(asked), asked).order_by(*fields).reverse()
    return next(iter(rows.values_list("pk", flat=True)[ROWS_A_PAGE : ROWS_A_PAGE + 1]), None)


def indexes_used(statements: list[str], indexes: tuple[str, ...]) -> Iterator[str]:
    explain = "EXPLAIN QUERY PLAN " if connection.vendor == "sqlite" else "EXPLAIN "
    with connection.cursor() as cursor:
        for sql in statements:
            cursor.execute((explain + sql).replace("%", "%%"), ())
            plan = " ".join(str(row) for row in cursor.fetchall())
            yield from (index for index in indexes if index in plan)
