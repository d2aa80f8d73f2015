"""Small things the questions share: days counted in calendar years, and links down to the record."""

from datetime import date

from django.urls import reverse


def years_before(day: date, years: int) -> date:
    """The same day of the year, ``years`` earlier; 28 February for the 29th."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)


def to_installation(row) -> str:
    return reverse("installation", args=[row.installation_id])


def to_circuit(row) -> str:
    return reverse("circuit", args=[row.circuit_id])


def to_load(row) -> str:
    return reverse("load", args=[row.load_id])


def circuit_in_words(row, asked=None) -> str:
    """``DB1/3 L2 Foyer lights``."""
    return f"{row.circuit} {row.circuit.description}".strip()
