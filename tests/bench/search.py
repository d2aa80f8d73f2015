"""The search over the invented firm of the audit: time of what people type, and the indexes it rests on."""

import io
from collections.abc import Iterator

from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.models import Firm
from reports.search.find import search
from tests.bench.audit import indexes_used
from tests.bench.timing import best_of

TYPED = ("kitchen", "kichen larkfeild", "lights larkfield client 7", "db1/3 ropewalk 33", "sockets lift")
INDEXES = ("search_word_of_text", "search_rows_of_text", "search_rows_at_board")


def report() -> Iterator[str]:
    """Every line that ``make bench`` prints for the search; after the audit's, which makes the firm."""
    firm = Firm.objects.latest("pk")
    seconds = best_of(1, lambda: call_command("work_out_search", stdout=io.StringIO()))
    yield f"{'its words worked out':58} {seconds:8.1f} s"
    statements: list[str] = []
    for typed in TYPED:
        with CaptureQueriesContext(connection) as captured:
            search(firm, typed)
        statements += [query["sql"] for query in captured]
        seconds = best_of(5, lambda typed=typed: search(firm, typed))
        yield f"{f'find: {typed}, {len(captured)} statements':58} {seconds * 1000:8.1f} ms  (p95 ≤ 100 ms)"
    lost = set(INDEXES) - set(indexes_used(statements, INDEXES))
    yield f"  plan: {'LOST: ' + ', '.join(sorted(lost)) if lost else 'all of ' + ', '.join(INDEXES)}"
