"""Small things the questions share: days counted in calendar years, and links down to the record."""

from datetime import date

from reports.audit.question import Link


def years_before(day: date, years: int) -> date:
    """The same day of the year, ``years`` earlier; 28 February for the 29th."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)


def to_installation(row) -> Link:
    return Link("installation", row.installation_id)


def to_circuit(row) -> Link:
    return Link("circuit", row.circuit_id)


def to_load(row) -> Link:
    return Link("load", row.load_id)


def circuit_in_words(row, asked=None) -> str:
    """``DB1/3 L2 Foyer lights``."""
    return f"{row.circuit} {row.circuit.description}".strip()
