"""Small things the questions share: days told in years, and links down to the record."""

from datetime import date

from remedies.full_test import DAYS_A_YEAR
from reports.audit.question import Link


def years_before(day: date, years: int) -> date:
    """The same day of the year, ``years`` earlier; 28 February for the 29th."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)


def in_years(days: int) -> str:
    """Years to one place, without their unit.

    >>> in_years(913)
    '2.5'
    """
    return f"{days / DAYS_A_YEAR:.1f}"


def to_installation(row) -> Link:
    return Link("installation", row.installation_id)


def to_circuit(row) -> Link:
    return Link("circuit", row.circuit_id)


def to_load(row) -> Link:
    return Link("load", row.load_id)


def circuit_in_words(row, asked=None) -> str:
    """``DB1/3 L2 Foyer lights``."""
    return f"{row.circuit} {row.circuit.description}".strip()
