"""When the line through the readings of a circuit meets their limit, and between which days it may."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from math import log10, sqrt

# Student's t, two-sided 95 %, for 1, 2, 3 … degrees of freedom; the last is used beyond.
STUDENT_T = (12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228)


@dataclass(frozen=True, slots=True)
class Forecast:
    """When a line through the readings meets the limit: the day, and the days between which it lies with 95 %
    confidence in the line. latest None: perhaps never. by_share: the line is one of equal shares a year, not
    of equal amounts. Weather and instruments are not in it."""

    on: date
    earliest: date
    latest: date | None
    by_share: bool = False

    @property
    def line(self) -> str:
        """What is drawn through the readings, in words."""
        return "a line of equal shares a year" if self.by_share else "a straight line"


def forecast(
    points: Sequence[tuple[date, Decimal]], limit: Decimal, *, may_go_by_share: bool = False
) -> Forecast | None:
    """When the least-squares line through three or more points meets the limit, with its 95 % range.

    may_go_by_share: values that span decades, of which the straight line through the logarithms is taken
    where it leaves less of their scatter than the line through the values. None with fewer than three points
    or days, where the line does not run towards the limit after the last point, or where the scatter allows
    any day at all.
    """
    if len({on for on, _ in points}) < 3:
        return None
    line = _Line(points, limit, float)
    if may_go_by_share and limit > 0 and all(value > 0 for _, value in points):
        line = min(line, _Line(points, limit, log10), key=lambda line: line.left_over)
    return line.meets()


class _Line:
    """The least-squares line through values on a scale; days are counted from their mean."""

    def __init__(
        self, points: Sequence[tuple[date, Decimal]], limit: Decimal, scale: Callable[[Decimal], float]
    ) -> None:
        days = [float(on.toordinal()) for on, _ in points]
        values = [scale(value) for _, value in points]
        self.by_share = scale is log10
        self.n = len(points)
        self.mean_day, mean = sum(days) / self.n, sum(values) / self.n
        self.last = max(days) - self.mean_day
        pairs = [(day - self.mean_day, value - mean) for day, value in zip(days, values, strict=True)]
        self.sxx = sum(u**2 for u, _ in pairs)
        self.slope = sum(u * value for u, value in pairs) / self.sxx
        self.residual = sum((value - self.slope * u) ** 2 for u, value in pairs)
        spread = sum(value**2 for _, value in pairs)
        self.left_over = self.residual / spread if spread else 0.0
        self.above = mean - scale(limit)

    def meets(self) -> Forecast | None:
        """Where the line, and where its confidence band, meets the limit: (d + b·u)² = t²·s²·(1/n + u²/Sxx),
        u being the time from the mean."""
        slope, d = self.slope, self.above
        if slope == 0 or -d / slope <= self.last:
            return None
        c2 = STUDENT_T[min(self.n - 2, len(STUDENT_T)) - 1] ** 2 * self.residual / (self.n - 2)
        a, b, c = slope**2 - c2 / self.sxx, 2 * slope * d, d**2 - c2 / self.n
        root = b * b - 4 * a * c
        if root < 0 or a == 0:
            return None
        low, high = sorted(((-b - sqrt(root)) / (2 * a), (-b + sqrt(root)) / (2 * a)))
        on, earliest = self._day(-d / slope), self._day(max(low if a > 0 else high, self.last))
        if on is None or earliest is None:
            return None
        return Forecast(on, earliest, self._day(high) if a > 0 else None, self.by_share)

    def _day(self, u: float) -> date | None:
        ordinal = self.mean_day + u
        return date.fromordinal(round(ordinal)) if 1 <= ordinal <= date.max.toordinal() else None
