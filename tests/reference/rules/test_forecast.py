"""Forecasts against scipy: the line by ``linregress``, its band by Student's t and by searching for where it
meets the limit."""

from datetime import date
from decimal import Decimal
from math import log10

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.stats import linregress, t

from inspections.rules.forecast import STUDENT_T, forecast

FIRST = date(1995, 1, 1).toordinal()
A_DAY = 1.0  # a forecast is rounded to a day


def by_scipy(days, values, limit):
    """Earliest, likeliest and latest meeting, as days; None for a latest one that does not come."""
    line = linregress(days, values)
    n, mean = len(days), np.mean(days)
    spread = np.sum((days - mean) ** 2)
    left = values - line.intercept - line.slope * days
    # Three decimals, as tables of Student's t are printed: near the slope that meets no limit they tell.
    width = round(t.ppf(0.975, n - 2), 3) * np.sqrt(np.sum(left**2) / (n - 2))

    def beyond(day, edge):
        """Above nought where that edge of the band is still on the near side of the limit."""
        half = width * np.sqrt(1 / n + (day - mean) ** 2 / spread)
        return np.sign(-line.slope) * (line.intercept + line.slope * day - limit) + edge * half

    on = (limit - line.intercept) / line.slope
    far = on + 1e7
    first = days[-1] if beyond(days[-1], -1) <= 0 else brentq(beyond, days[-1], on, args=(-1,))
    last = brentq(beyond, on, far, args=(1,)) if beyond(far, 1) < 0 else None
    return first, on, last


def check(points, limit, it, scale):
    days = np.array([float(day.toordinal()) for day, _ in points])
    first, on, last = by_scipy(days, np.array([scale(value) for _, value in points]), scale(limit))
    assert it.on.toordinal() == pytest.approx(on, abs=A_DAY)
    assert it.earliest.toordinal() == pytest.approx(first, abs=A_DAY)
    if it.latest is None:  # never, or past the last year there is
        assert last is None or last > date.max.toordinal()
    else:
        assert it.latest.toordinal() == pytest.approx(last, abs=max(A_DAY, 1e-6 * last))


def test_the_table_of_students_t():
    assert tuple(round(t.ppf(0.975, freedom), 3) for freedom in range(1, len(STUDENT_T) + 1)) == STUDENT_T


readings = st.lists(st.integers(20, 900), min_size=3, max_size=6)
gaps = st.lists(st.integers(200, 2000), min_size=6, max_size=6)


@given(readings, gaps, st.booleans())
def test_the_line_and_its_band_are_those_of_scipy(values, gaps, may_go_by_share):
    values = sorted(values, reverse=True)
    days = FIRST + np.cumsum(gaps[: len(values)])
    points = [(date.fromordinal(int(day)), Decimal(value)) for day, value in zip(days, values, strict=True)]
    it = forecast(points, Decimal(1), may_go_by_share=may_go_by_share)
    assume(it is not None)
    assert may_go_by_share or not it.by_share
    check(points, Decimal(1), it, log10 if it.by_share else float)


def test_the_line_taken_is_the_one_that_accounts_for_more():
    """200, 60, 20, 6: nearly a third each time. 200, 150, 100, 50: the same each time."""
    for values, by_share in (((200, 60, 20, 6), True), ((200, 150, 100, 50), False)):
        points = [(date(2006 + 5 * n, 1, 1), Decimal(value)) for n, value in enumerate(values)]
        days = [day.toordinal() for day, _ in points]
        straight, shares = linregress(days, values), linregress(days, np.log10(values))

        it = forecast(points, Decimal(1), may_go_by_share=True)

        assert it.by_share is by_share is bool(abs(shares.rvalue) > abs(straight.rvalue))
        check(points, Decimal(1), it, log10 if by_share else float)


def test_a_line_of_shares_needs_readings_above_nought():
    points = [(date(2006 + 5 * n, 1, 1), Decimal(value)) for n, value in enumerate(("9", "6", "3"))]
    assert not forecast([*points, (date(2020, 1, 1), Decimal(0))], Decimal(-1), may_go_by_share=True).by_share
