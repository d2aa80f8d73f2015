"""The lowest and the middle of many readings, of which some only say that they lie beyond a range."""

from collections.abc import Sequence
from decimal import Decimal
from statistics import median_low
from typing import NamedTuple

from inspections.rules.insulation import bounds
from inspections.rules.readings import Reading

INFINITE = Decimal("Infinity")


class Between(NamedTuple):
    """From where to where a figure surely lies.

    >>> [str(Between(Decimal(low), Decimal(high))) for low, high in (("0.50", "0.50"), (200, "Infinity"))]
    ['0.50', '>200']
    >>> [str(Between(Decimal(low), Decimal(high))) for low, high in ((0, "0.01"), (20, 150))]
    ['<0.01', '20 to 150']
    """

    low: Decimal
    high: Decimal

    def __str__(self) -> str:
        if self.low == self.high:
            return f"{self.low:f}"
        if self.high == INFINITE:
            return f">{self.low:f}"
        return f"{self.low:f} to {self.high:f}" if self.low else f"<{self.high:f}"


def lowest(found: Sequence[Between]) -> Between:
    """The least of some figures: each end is the least of theirs."""
    return Between(min(low for low, _ in found), min(high for _, high in found))


def middle(found: Sequence[Between]) -> Between:
    """The median of some figures, of two in the middle the lower, so that it is one that was read. Whatever
    each of them is within its ends, the median lies within these."""
    return Between(median_low(low for low, _ in found), median_low(high for _, high in found))


def between(reading: Reading) -> Between | None:
    """What a reading says: ``>200`` from 200 on, ``LIM`` nothing."""
    found = bounds(reading)
    return None if found is None else Between(*found)
