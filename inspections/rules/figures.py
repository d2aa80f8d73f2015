"""Figures as the trade writes them: plain digits, two decimals for ohms, a reading with its unit."""

from datetime import date
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal

from inspections.rules.readings import Reading

HUNDREDTH = Decimal("0.01")


def plain(number: Decimal) -> str:
    """A number without needless zeros or exponent.

    >>> plain(Decimal("230.0")), plain(Decimal("0.95")), plain(Decimal("1E+3"))
    ('230', '0.95', '1000')
    """
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def day(on: date) -> str:
    """A day in words, e.g. ``4 Nov 2026``.

    >>> day(date(2026, 11, 4))
    '4 Nov 2026'
    """
    return f"{on.day} {on:%b} {on.year}"


def two_places(number: Decimal) -> str:
    """Rounded to two decimals, as printed tables are; very large numbers keep their digits.

    >>> two_places(Decimal("1.365625"))
    '1.37'
    """
    if abs(number) >= Decimal("1E12"):
        return f"{number:.3E}"
    return f"{number.quantize(HUNDREDTH, ROUND_HALF_UP):f}"


def two_places_down(number: Decimal) -> str:
    """Cut to two decimals, for a limit that must never be shown above what it is.

    >>> two_places_down(Decimal("2.185"))
    '2.18'
    """
    if abs(number) >= Decimal("1E12"):
        return f"{number:.3E}"
    return f"{number.quantize(HUNDREDTH, ROUND_DOWN):f}"


def beside(limit: Decimal, reading: Reading) -> str:
    """A limit to two decimals, or to four where two would make it look equal to the reading.

    >>> beside(Decimal("1.365625"), Reading.parse("1.52"))
    '1.37'
    >>> beside(Decimal("1.365625"), Reading.parse("1.37"))
    '1.3656'
    """
    shown = two_places(limit)
    if reading.value is not None and Decimal(shown) == reading.value != limit:
        return f"{limit:.4f}"
    return shown
