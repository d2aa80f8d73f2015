"""When a line meets a limit, by hand. ``tests/reference/rules/test_forecast.py`` holds it to scipy. Student's
t from published tables."""

from datetime import date
from decimal import Decimal

import pytest

from inspections.rules.forecast import forecast


def days(*pairs):
    return [(date.fromordinal(day), Decimal(value)) for day, value in pairs]


def test_three_points_on_a_line_meet_the_limit_where_the_line_does():
    """100, 90, 80 MΩ at days 1000, 2000, 3000 fall 10 each 1000 days: 1 MΩ at day 10 900."""
    it = forecast(days((1000, "100"), (2000, "90"), (3000, "80")), Decimal(1))
    assert it.on == it.earliest == it.latest == date.fromordinal(10900)


def test_the_range_by_hand():
    """Four points at u = −3, −1, 1, 3 (hundreds of days) with values 8, 7, 3, 2: mean 5.

    Sxx = 20, Sxy = −22, slope −1.1; fitted 8.3, 6.1, 3.9, 1.7; residuals −0.3, 0.9, −0.9, 0.3: sum 1.8,
    s² 0.9; t = 4.303 (2 degrees of freedom), c² = 18.5158 × 0.9 = 16.664. Limit −5, d = 10:
    (1.21 − 0.8332)·u² − 22·u + (100 − 4.166) = 0 gives u = 4.74 and 53.64; the line itself 9.09.
    """
    points = days((100_000 - 300, "8"), (100_000 - 100, "7"), (100_000 + 100, "3"), (100_000 + 300, "2"))
    it = forecast(points, Decimal(-5))
    found = [(day.toordinal() - 100_000) / 100 for day in (it.earliest, it.on, it.latest)]
    assert found == pytest.approx([4.74, 9.09, 53.64], abs=0.02)


def test_a_slope_within_the_scatter_has_no_latest_day():
    """Three points leave t = 12.706: in thousands of days slope −1.5 and Sxx 2, s² 0.1667, c² 26.91, d 97.33.

    (2.25 − 13.45)·u² − 292·u + (9473.8 − 8.97) = 0 gives u = 18.8 after the mean, and none before it counts.
    """
    it = forecast(days((1000, "100"), (2000, "98"), (3000, "97")), Decimal(1))
    assert it.latest is None
    assert (it.earliest.toordinal() - 2000) / 1000 == pytest.approx(18.8, abs=0.05)


def test_scatter_that_allows_any_day_gives_no_forecast():
    assert forecast(days((1000, "10"), (2000, "6"), (3000, "5")), Decimal(1)) is None


@pytest.mark.parametrize(
    "points",
    [
        days((1000, "100"), (2000, "90")),
        days((1000, "100"), (1000, "90"), (2000, "80")),
        days((1000, "80"), (2000, "90"), (3000, "100")),  # rising away from the limit
        days((1000, "80"), (2000, "80"), (3000, "80")),
        days((1000, "5"), (2000, "3"), (3000, "0.5")),  # already met
    ],
)
def test_no_forecast_without_three_days_or_a_way_to_the_limit(points):
    assert forecast(points, Decimal(1)) is None
