"""The values resistors and capacitors are made in: IEC 60063, series E6, E12 and E24.

Values have the unit of what is asked for: ohms in, ohms out; farads in, farads out.
"""

import math
import tomllib
from enum import StrEnum
from pathlib import Path

from remedies.physics.checked import InputError

_DATA = tomllib.loads((Path(__file__).parent / "data" / "preferred_values.toml").read_text("utf-8"))


class Series(StrEnum):
    """How finely a decade is divided, with the tolerance that series goes with."""

    E6 = "E6"  # ±20 %, the usual series of suppression capacitors
    E12 = "E12"  # ±10 %
    E24 = "E24"  # ±5 %, the usual series of resistors


def significands(series: Series) -> tuple[int, ...]:
    """The two-figure values of one decade, smallest first.

    >>> significands(Series.E6)
    (10, 15, 22, 33, 47, 68)
    """
    return tuple(_DATA["series"][series.value])


def between(low: float, high: float, series: Series) -> tuple[float, ...]:
    """Every preferred value from ``low`` to ``high``, both included, smallest first.

    >>> between(40e3, 100e3, Series.E6)
    (47000.0, 68000.0, 100000.0)
    """
    if not (0 < low <= high < math.inf):
        raise InputError(
            "preferred value",
            f"asked from {low:g} to {high:g}. Give 0 < lowest ≤ highest.",
        )
    first, last = (math.floor(math.log10(end)) - 1 for end in (low, high))
    # Written as text first, so that 47 nF comes out as the number 47e-9 and not its neighbour.
    every = (
        float(f"{figure}e{exponent}")
        for exponent in range(first, last + 1)
        for figure in significands(series)
    )
    return tuple(value for value in every if _at_most(low, value) and _at_most(value, high))


def at_or_above(value: float, series: Series) -> float:
    """The smallest preferred value that is not below ``value``.

    >>> at_or_above(14.8e3, Series.E24)
    15000.0
    """
    return between(value, value * 10, series)[0]


def at_or_below(value: float, series: Series) -> float:
    """The largest preferred value that is not above ``value``.

    >>> at_or_below(0.14e-6, Series.E6)
    1e-07
    """
    return between(value / 10, value, series)[-1]


def _at_most(a: float, b: float) -> bool:
    # A value computed to be 47e-9 counts as 47e-9: a part in a billion is no difference in a component.
    return a <= b or math.isclose(a, b, rel_tol=1e-9)
