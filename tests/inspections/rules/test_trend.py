"""Against earlier inspections. Widths: common practice, no source; Student's t from published tables."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from inspections.rules import trend
from inspections.rules.facts import CircuitReadings, PastResult
from inspections.rules.finding import Code, Severity
from inspections.rules.readings import Reading

TODAY = date(2026, 11, 3)


def past(
    year: int, *, ze: str = "", max_zs: str | None = None, volts: int = 500, **readings: str
) -> PastResult:
    results = CircuitReadings(
        ir_voltage_v=Decimal(volts), **{name: Reading.parse(text) for name, text in readings.items()}
    )
    return PastResult(date(year, 11, 3), results, Reading.parse(ze), Decimal(max_zs) if max_zs else None)


@pytest.mark.parametrize(
    ("was", "is_now", "severity"),
    [
        (">200", ">200", None),
        (">200", "100", None),
        (">200", "99", Severity.NOTE),
        ("50", "9.9", Severity.LOOK_INTO),
        ("50", "25", None),
        ("50", ">20", None),  # out of range: it may be as it was
        ("5", "200", None),
        ("LIM", "2", None),
    ],
)
def test_insulation_that_fell_by_half(case, was, is_now, severity):
    it = case(ir_live_earth=is_now, on=TODAY, past=(past(2021, ir_live_earth=was),))
    findings = list(trend.insulation_fallen(it))
    assert [(f.code, f.severity) for f in findings] == (
        [(Code.INSULATION_FALLEN, severity)] if severity else []
    )


def test_another_test_voltage_is_no_fair_comparison(case, one):
    it = case(ir_live_earth="2", on=TODAY, past=(past(2021, volts=250, ir_live_earth="50"),))
    assert one(trend.insulation_fallen(it)).code is Code.TEST_VOLTAGE_CHANGED


def test_the_latest_measured_result_counts(case, one):
    history = (past(2011, zs="0.80"), past(2021, zs="LIM"), past(2016, zs="0.81"), past(2030, zs="0.10"))
    assert one(trend.zs_risen(case(zs="1.20", on=TODAY, past=history))).figures[0] == ("was", "0.81 Ω")


@pytest.mark.parametrize(
    ("is_now", "risen"), [("0.40", False), ("0.41", True), ("0.20", False), (">20", False)]
)
def test_continuity_that_rose(case, is_now, risen):
    """0.30 Ω may read 0.10 Ω higher."""
    it = case(r1_r2=is_now, on=TODAY, past=(past(2021, r1_r2="0.30"),))
    assert [f.code for f in trend.continuity_risen(it)] == [Code.CONTINUITY_RISEN] * risen


def test_a_rise_of_the_supply_is_not_the_circuit_s(case, one):
    history = {"on": TODAY, "past": (past(2021, zs="0.81", ze="0.11"),)}
    assert list(trend.zs_risen(case(zs="1.07", **history))) == []  # 0.26 Ω, of which the supply 0.10
    finding = one(trend.zs_risen(case(zs="1.08", **history)))
    assert finding.working == "1.08 − 0.81 − 0.1 (supply) = 0.17 Ω"


def test_a_limit_that_changed_is_told_from_a_reading_that_did(case, one):
    """B32: 1.44 Ω before the factor 0.95 came in, 1.37 Ω since."""
    it = case(device_rating_a=32, zs="1.40", on=TODAY, past=(past(2011, zs="1.40", max_zs="1.44"),))
    assert one(trend.limit_changed(it)).code is Code.LIMIT_CHANGED
    assert list(trend.limit_changed(replace(it, past=(past(2011, zs="1.40"),)))) == []
    higher = case(device_rating_a=32, zs="1.50", on=TODAY, past=(past(2011, zs="1.40", max_zs="1.44"),))
    assert list(trend.limit_changed(higher)) == []


def days(*pairs):
    return [(date.fromordinal(day), Decimal(value)) for day, value in pairs]


def test_three_points_on_a_line_meet_the_limit_where_the_line_does():
    """100, 90, 80 MΩ at days 1000, 2000, 3000 fall 10 each 1000 days: 1 MΩ at day 10 900."""
    it = trend.forecast(days((1000, "100"), (2000, "90"), (3000, "80")), Decimal(1))
    assert it.on == it.earliest == it.latest == date.fromordinal(10900)


def test_the_range_by_hand():
    """Four points at u = −3, −1, 1, 3 (hundreds of days) with values 8, 7, 3, 2: mean 5.

    Sxx = 20, Sxy = −22, slope −1.1; fitted 8.3, 6.1, 3.9, 1.7; residuals −0.3, 0.9, −0.9, 0.3: sum 1.8,
    s² 0.9; t = 4.303 (2 degrees of freedom), c² = 18.5158 × 0.9 = 16.664. Limit −5, d = 10:
    (1.21 − 0.8332)·u² − 22·u + (100 − 4.166) = 0 gives u = 4.74 and 53.64; the line itself 9.09.
    """
    points = days((100_000 - 300, "8"), (100_000 - 100, "7"), (100_000 + 100, "3"), (100_000 + 300, "2"))
    it = trend.forecast(points, Decimal(-5))
    found = [(day.toordinal() - 100_000) / 100 for day in (it.earliest, it.on, it.latest)]
    assert found == pytest.approx([4.74, 9.09, 53.64], abs=0.02)


def test_a_slope_within_the_scatter_has_no_latest_day():
    """Three points leave t = 12.706: in thousands of days slope −1.5 and Sxx 2, s² 0.1667, c² 26.91, d 97.33.

    (2.25 − 13.45)·u² − 292·u + (9473.8 − 8.97) = 0 gives u = 18.8 after the mean, and none before it counts.
    """
    it = trend.forecast(days((1000, "100"), (2000, "98"), (3000, "97")), Decimal(1))
    assert it.latest is None
    assert (it.earliest.toordinal() - 2000) / 1000 == pytest.approx(18.8, abs=0.05)


def test_scatter_that_allows_any_day_gives_no_forecast():
    assert trend.forecast(days((1000, "10"), (2000, "6"), (3000, "5")), Decimal(1)) is None


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
    assert trend.forecast(points, Decimal(1)) is None


def test_the_forecast_of_a_circuit_says_when_and_between_what(case, one):
    """Zs 0.5 Ω more every five years from 5.50 Ω in 2016: 7.28 Ω (6 A type B) in 2034."""
    history = (past(2016, zs="5.50"), past(2021, zs="6.00"))
    finding = one(trend.limit_forecast(case(zs="6.50", on=TODAY, past=history)))
    assert (finding.code, finding.severity) == (Code.LIMIT_FORECAST, Severity.NOTE)
    assert dict(finding.figures)["expected"].endswith("2034")


def test_no_forecast_for_a_reading_over_range_or_of_another_voltage(case):
    falling = (past(2011, ir_live_earth="40"), past(2016, ir_live_earth="30"), past(2021, ir_live_earth="20"))
    assert len(list(trend.limit_forecast(case(ir_live_earth="10", on=TODAY, past=falling)))) == 1
    assert list(trend.limit_forecast(case(ir_live_earth=">10", on=TODAY, past=falling))) == []
    at_250 = case(ir_live_earth="10", ir_voltage_v=250, on=TODAY, past=falling)
    assert list(trend.limit_forecast(at_250)) == []
    assert list(trend.limit_forecast(case(ir_live_earth="10", past=falling))) == []
    assert list(trend.limit_forecast(case(ir_live_earth="0.5", on=TODAY, past=falling))) == []
