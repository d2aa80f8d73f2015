"""Sense of readings. Thresholds: common practice, no source (see the module)."""

from datetime import date
from decimal import Decimal

import pytest

from inspections.rules import sense
from inspections.rules.facts import BoardFacts, Earthing, InstrumentFacts, SupplyFacts
from inspections.rules.finding import Code, Severity

TESTER = InstrumentFacts("Multifunction tester 1", date(2027, 3, 31), Decimal(200))


@pytest.mark.parametrize("column", ["polarity", "rcd_button", "afdd_button", "r1_r2", "zs"])
def test_a_failed_test_is_out_of_limit(case, one, column):
    finding = one(sense.not_correct(case(**{column: "✗"})))
    assert (finding.column, finding.severity) == (column, Severity.OUT_OF_LIMIT)


def test_wrong_polarity_is_said_in_words(case, one):
    assert one(sense.not_correct(case(polarity="✗"))).summary == "Polarity is not correct."


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        ({"r1_r2": "0.00"}, [Code.NO_CABLE_READS_ZERO]),
        ({"r1_r2": "<0.01"}, []),  # a short run may
        ({"zs": "0"}, [Code.NO_CABLE_READS_ZERO]),
        ({"r1_r2": "310"}, [Code.PERHAPS_MILLIOHM]),
        ({"r1_r2": "19.9"}, []),
        ({"r1_r2": ">200"}, []),
        ({"zs": "810"}, [Code.PERHAPS_MILLIOHM]),
        ({"zs": "90", "supply": SupplyFacts(Earthing.TT)}, []),  # an electrode
        ({"r1_r2": "310", "supply": SupplyFacts(Earthing.TT)}, [Code.PERHAPS_MILLIOHM]),
    ],
)
def test_resistances_no_cable_has(case, codes_of, changes, codes):
    assert codes_of(sense.resistances(case(**changes))) == codes


def test_milliohms_are_offered_as_ohms(case, one):
    assert one(sense.resistances(case(r1_r2="310"))).summary == "R1+R2 310 Ω seems to be in mΩ: 0.31 Ω?"


@pytest.mark.parametrize(("zs", "below"), [("0.21", False), ("0.16", False), ("0.15", True), ("<0.10", True)])
def test_zs_below_zs_at_the_board(case, zs, below):
    findings = list(sense.zs_below_source(case(zs=zs)))
    assert [finding.code for finding in findings] == [Code.ZS_BELOW_SUPPLY] * below


def test_without_zs_at_the_board_ze_stands_in(case, one):
    assert "of the supply (Ze)" in one(sense.zs_below_source(case(board=BoardFacts(), zs="0.10"))).summary
    assert list(sense.zs_below_source(case(board=BoardFacts(), supply=SupplyFacts(), zs="0.10"))) == []


@pytest.mark.parametrize(
    ("reading", "instruments", "codes"),
    [
        ("190000", (), [Code.PERHAPS_KILOHM]),
        ("20000", (), []),
        (">200", (TESTER,), []),
        ("199", (TESTER,), []),
        ("200", (TESTER,), [Code.AT_RANGE_TOP]),
        ("201", (TESTER,), [Code.PERHAPS_KILOHM]),
        (">500", (TESTER,), [Code.ABOVE_RANGE_TOP]),
        (">500", (TESTER, InstrumentFacts("Tester 2", None, Decimal(999))), []),
        ("LIM", (TESTER,), []),
    ],
)
def test_insulation_against_what_the_instrument_shows(case, codes_of, reading, instruments, codes):
    assert codes_of(sense.insulation_units(case(ir_live_earth=reading, instruments=instruments))) == codes


@pytest.mark.parametrize(
    ("reading", "odd"), [("0.028", True), ("0", True), ("1", False), ("<1", False), ("28", False)]
)
def test_a_trip_time_in_seconds(case, reading, odd):
    findings = list(sense.trip_time_unit(case(rcd_trip_ms=reading)))
    assert [finding.code for finding in findings] == [Code.PERHAPS_SECONDS] * odd


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        # 6 A type B: 7.2833 Ω
        ({"zs": "7"}, [Code.TOO_COARSE]),  # may be 7.5
        ({"zs": "7.2"}, []),  # at most 7.25
        ({"zs": "7.28"}, []),
        ({"zs": "8"}, []),  # out of limit anyhow
        ({"ir_live_earth": "1"}, [Code.TOO_COARSE]),  # may be 0.5
        ({"ir_live_earth": "1.0"}, [Code.TOO_COARSE]),  # may be 0.95
        ({"ir_live_earth": "1.1"}, []),
        ({"ir_live_earth": "1.00"}, []),
        ({"ir_live_earth": "2"}, []),
    ],
)
def test_a_reading_too_coarse_for_its_limit(case, codes_of, changes, codes):
    assert codes_of(sense.too_coarse(case(**changes))) == codes


@pytest.mark.parametrize(
    ("until", "codes"),
    [
        (date(2026, 11, 3), []),  # still good on the day itself
        (date(2026, 11, 2), [Code.OUT_OF_CALIBRATION]),
        (None, [Code.CALIBRATION_UNKNOWN]),
    ],
)
def test_calibration_on_the_day(codes_of, until, codes):
    instruments = [InstrumentFacts("Loop tester 2", until)]
    assert codes_of(sense.calibration(instruments, date(2026, 11, 3))) == codes
