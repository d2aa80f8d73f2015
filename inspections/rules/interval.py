"""The longest published interval to the next inspection, by use of the premises. The inspector sets the next
one; the program compares."""

import calendar
import tomllib
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files

from inspections.rules.finding import Source
from inspections.rules.rule_file import EditionError, Part

FILE = files("inspections.rules") / "intervals.toml"


@dataclass(frozen=True, slots=True)
class Interval:
    """months: the longest; or_sooner: an event that brings it forward, or empty."""

    premises: str
    months: int
    or_sooner: str
    source: Source

    def ends(self, last_day: date) -> date:
        """The last day on which the next inspection is due, counted from the last day of this one.

        >>> Interval("", 12, "", Source("")).ends(date(2024, 2, 29))
        datetime.date(2025, 2, 28)
        """
        return months_after(last_day, self.months)

    @property
    def words(self) -> str:
        """``3 years for industrial premises``, or in months where it is no whole number of years."""
        years, months = divmod(self.months, 12)
        span = f"{self.months} months" if months else f"{years} year{'s' if years != 1 else ''}"
        sooner = f", or {self.or_sooner}" if self.or_sooner else ""
        return f"{span} for {self.premises}{sooner}"


def longest(use: str) -> Interval | None:
    """The longest interval published for that use; None where none is.

    >>> longest("industrial").words
    '3 years for industrial premises'
    """
    return intervals().get(use)


@cache
def intervals() -> dict[str, Interval]:
    """Every interval by use."""
    return read(FILE.read_text(encoding="utf-8"))


def read(text: str) -> dict[str, Interval]:
    """Intervals from the text of their file. Raises EditionError for a missing part or a use named twice."""
    content = tomllib.loads(text)
    top = Part(content, "intervals.toml", str(content.get("title", "")))
    found: dict[str, Interval] = {}
    for row in top.parts("premises"):
        interval = Interval(
            row.text("name"), int(row.number("months")), row.text("or_sooner", ""), row.source()
        )
        for use in row.texts("uses"):
            if use in found:
                raise EditionError(f"intervals.toml: the use “{use}” is named twice.")
            found[use] = interval
    return found


def months_after(day: date, months: int) -> date:
    """The same day of a later month, or its last day where the month is shorter."""
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))
