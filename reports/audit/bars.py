"""Counts to be looked at rather than read: by year, by month to come, or by what they are of."""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date

from django.db.models import Count, QuerySet

from reports.sheets.figure import Bars

YEARS, MONTHS = 20, 18  # bars at most; what lies before or after stands in the first or the last


def by_year(rows: QuerySet, column: str, title: str, day: date) -> Bars | None:
    """Rows by the year of a column, the last ``YEARS`` of them up to a day. None where all are of that year:
    their number says as much."""
    first = day.year - YEARS + 1
    counts: Counter[int] = Counter()
    for on, count in _by_day(rows, column):
        counts[max(on.year, first)] += count
    begun = min(counts, default=day.year)
    labels = {first: f"to {first}"} if counts[first] else {}
    if begun == day.year:
        return None
    return Bars(
        title, tuple((labels.get(year, f"{year}"), counts[year]) for year in range(begun, day.year + 1))
    )


def by_month(rows: QuerySet, column: str, title: str, day: date) -> Bars:
    """Rows by month, from what waits already to ``MONTHS`` ahead and later."""
    months = [_later(day, number) for number in range(MONTHS)]
    labels = ["waiting", *(f"{month:%b %y}" for month in months), "later"]
    counts: Counter[int] = Counter()
    for on, count in _by_day(rows, column):
        ahead = (on.year - day.year) * 12 + on.month - day.month
        counts[0 if on <= day else min(ahead, MONTHS) + 1] += count
    return Bars(title, tuple((label, counts[number]) for number, label in enumerate(labels)))


def by_value(rows: QuerySet, column: str, labels: Mapping[str, str], title: str) -> Bars:
    """Rows by the value of a column, the most first."""
    counts = rows.order_by().values_list(column).annotate(n=Count("*")).order_by("-n", column)
    return Bars(title, tuple((str(labels[value]), count) for value, count in counts))


def _by_day(rows: QuerySet, column: str) -> Sequence[tuple[date, int]]:
    # Days and not years, so that the index alone answers.
    return rows.order_by().values_list(column).annotate(n=Count("*"))


def _later(day: date, months: int) -> date:
    whole = day.year * 12 + day.month - 1 + months
    return date(whole // 12, whole % 12 + 1, 1)
