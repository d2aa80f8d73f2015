"""A value with the range it may lie in, and values written as the trade writes them."""

import math
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Span:
    """A value known within limits: the lowest, the typical and the highest it may be, all in one unit.

    ``high`` may be infinite (an open circuit). Raises ValueError when the three are out of order.

    >>> Span.within(100e3, 0.05)
    Span(low=95000.0, typical=100000.0, high=105000.0)
    """

    low: float
    typical: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.typical <= self.high:
            raise ValueError(f"A range runs low, typical, high; got {self.low}, {self.typical}, {self.high}.")

    @classmethod
    def exact(cls, value: float) -> "Span":
        """A value without tolerance."""
        return cls(value, value, value)

    @classmethod
    def within(cls, value: float, tolerance: float) -> "Span":
        """A value ± a fraction of itself: ``within(100, 0.05)`` is 95 to 105."""
        return cls(value * (1 - tolerance), value, value * (1 + tolerance))

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high

    def __add__(self, other: "Span") -> "Span":
        return Span(self.low + other.low, self.typical + other.typical, self.high + other.high)

    def times(self, factor: float) -> "Span":
        """Every value multiplied by a positive factor."""
        return Span(self.low * factor, self.typical * factor, self.high * factor)

    def falling(self, function: Callable[[float], float]) -> "Span":
        """A function that falls as its argument rises, over the range: the ends change places."""
        return Span(function(self.high), function(self.typical), function(self.low))

    def rising(self, function: Callable[[float], float]) -> "Span":
        """A function that rises with its argument, over the range."""
        return Span(function(self.low), function(self.typical), function(self.high))


_PREFIXES = (
    (1e9, "G"),
    (1e6, "M"),
    (1e3, "k"),
    (1.0, ""),
    (1e-3, "m"),
    (1e-6, "µ"),
    (1e-9, "n"),
    (1e-12, "p"),
)


def significant(value: float, figures: int = 3) -> str:
    """A number to so many significant figures, without an exponent and without idle zeros.

    >>> significant(305.56), significant(0.10), significant(1234567)
    ('306', '0.1', '1230000')
    """
    if value == 0:
        return "0"
    if not math.isfinite(value):
        return "∞" if value > 0 else "−∞"
    places = figures - 1 - math.floor(math.log10(abs(value)))
    text = f"{round(value, places):.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def engineering(value: float, unit: str, figures: int = 3) -> str:
    """A value with the prefix that keeps its digits short.

    >>> engineering(220_000, "Ω"), engineering(1e-7, "F"), engineering(0.00025, "A")
    ('220 kΩ', '100 nF', '250 µA')
    """
    if value == 0 or not math.isfinite(value):
        return f"{significant(value)} {unit}"
    # Round first, so that 999.9 kΩ becomes 1 MΩ and not 1000 kΩ.
    rounded = round(value, figures - 1 - math.floor(math.log10(abs(value))))
    for scale, prefix in _PREFIXES:
        if abs(rounded) >= scale * (1 - 1e-12):
            return f"{significant(rounded / scale, figures)} {prefix}{unit}"
    scale, prefix = _PREFIXES[-1]
    return f"{significant(rounded / scale, figures)} {prefix}{unit}"


def ohms(value: float) -> str:
    """A resistance: ``306 kΩ``."""
    return engineering(value, "Ω")


def microfarads(value_f: float, figures: int = 3) -> str:
    """A capacitance in µF, as capacitors are marked: ``0.1 µF``."""
    return f"{significant(value_f * 1e6, figures)} µF"


def duration(seconds: float) -> str:
    """A time to two figures: ``50 ms``, ``12 s``, ``4.5 min``, ``2.8 h``.

    >>> duration(0.05), duration(270), duration(10_000), duration(float("inf"))
    ('50 ms', '4.5 min', '2.8 h', 'never')
    """
    if math.isinf(seconds):
        return "never"
    for unit, length in (("h", 3600), ("min", 60)):
        if seconds >= 1.5 * length:
            return f"{significant(seconds / length, 2)} {unit}"
    return engineering(seconds, "s", 2)


def span_text(span: Span, write: Callable[[float], str]) -> str:
    """A range in words, or the one value when its ends are written alike.

    >>> span_text(Span(95e3, 100e3, 105e3), ohms)
    '95 kΩ to 105 kΩ'
    """
    low, high = write(span.low), write(span.high)
    return low if low == high else f"{low} to {high}"
