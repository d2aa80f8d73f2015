"""Against earlier inspections. Widths: common practice, no source; Student's t from published tables."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from inspections.rules import trend
from inspections.rules.edition import load
from inspections.rules.facts import CircuitReadings, PastResult
from inspections.rules.finding import Code, Severity
from inspections.rules.readings import Reading

TODAY = date(2026, 11, 3)


def past(
    year: int, *, ze: str = "", held_to: str | None = None, volts: int = 500, **readings: str
) -> PastResult:
    results = CircuitReadings(
        ir_voltage_v=Decimal(volts), **{name: Reading.parse(text) for name, text in readings.items()}
    )
    return PastResult(date(year, 11, 3), results, Reading.parse(ze), load(held_to) if held_to else None)


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
    """B32: 230 ÷ 160 = 1.44 Ω (IEC 60364-4-41, 411.4.4, with no factor), 1.37 Ω with the factor 0.95."""
    before = past(2011, zs="1.40", held_to="iec60364_6_2016")
    it = case(device_rating_a=32, zs="1.40", on=TODAY, past=(before,))
    finding = one(trend.limit_changed(it))
    assert finding.code is Code.LIMIT_CHANGED
    assert "from 1.44 Ω to 1.37 Ω" in finding.summary
    assert list(trend.limit_changed(replace(it, past=(past(2011, zs="1.40"),)))) == []
    assert list(trend.limit_changed(case(device_rating_a=32, zs="1.50", on=TODAY, past=(before,)))) == []


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
