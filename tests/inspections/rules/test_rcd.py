"""RCD checks. Times: IEC 61008-1 Table 1; types: BS 7671 531.3.3; leakage: 531.3.2."""

from decimal import Decimal

import pytest

from inspections.rules import rcd
from inspections.rules.facts import Serves, Waveform
from inspections.rules.finding import Code, Severity
from inspections.rules.readings import Reading

RCD = {"rcd_standard": "61008", "rcd_residual_ma": 30}


@pytest.mark.parametrize(
    ("rcd_type", "reading", "codes"),
    [
        ("A", "300", []),
        ("A", "301", [Code.RCD_SLOW]),
        ("A", ">300", [Code.RCD_SLOW]),
        ("A", ">1999", [Code.RCD_SLOW]),
        ("A", ">40", [Code.RCD_RANGE_SHORT]),
        ("A", "<10", []),
        ("", "28", []),
        ("A S", "129", [Code.RCD_TOO_FAST]),
        ("A S", "130", []),
        ("A S", "500", []),
        ("A S", "501", [Code.RCD_SLOW]),
        ("A", "LIM", []),
        ("A", "✓", []),
    ],
)
def test_trip_time_at_rated_residual_current(case, codes_of, rcd_type, reading, codes):
    assert codes_of(rcd.trip_time(case(**RCD, rcd_type=rcd_type, rcd_trip_ms=reading))) == codes


def test_no_trip_is_said_in_words(case, one):
    finding = one(rcd.trip_time(case(**RCD, rcd_type="A", rcd_trip_ms=">300")))
    assert finding.summary == "RCD did not trip within 300 ms; the limit is 300 ms."
    assert finding.severity is Severity.OUT_OF_LIMIT


@pytest.mark.parametrize(("reading", "codes"), [("40", []), ("41", [Code.RCD_SLOW])])
def test_five_times_by_older_practice(case, codes_of, reading, codes):
    it = case(**RCD, rcd_type="AC")
    findings = rcd.trip_time_at(Reading.parse(reading), it.circuit, it.edition, rcd.AT_FIVE_TIMES)
    assert codes_of(findings) == codes


def test_a_multiple_without_a_limit_is_silent(case):
    it = case(**RCD)
    assert list(rcd.trip_time_at(Reading.parse("999"), it.circuit, it.edition, Decimal(3))) == []


@pytest.mark.parametrize(
    ("rcd_type", "waveform", "fits"),
    [
        ("AC", Waveform.SINUSOIDAL, True), ("AC", Waveform.PULSATING, False),
        ("A", Waveform.PULSATING, True), ("A", Waveform.COMPOSITE, False),
        ("F", Waveform.COMPOSITE, True), ("F", Waveform.SMOOTH, False),
        ("B", Waveform.SMOOTH, True), ("A S", Waveform.SMOOTH, False), ("", Waveform.SMOOTH, True),
    ],
)  # fmt: skip
def test_the_type_detects_what_the_load_can_cause(case, codes_of, rcd_type, waveform, fits):
    codes = codes_of(rcd.type_fits(case(**RCD, rcd_type=rcd_type, waveform=waveform)))
    assert codes == [] if fits else [Code.RCD_TYPE_UNFIT]


def test_type_ac_on_socket_outlets_is_to_be_looked_into(case, one):
    it = {**RCD, "rcd_type": "AC"}
    assert one(rcd.type_fits(case(**it, serves=Serves.SOCKET_OUTLETS))).code is Code.RCD_TYPE_UNFIT
    assert list(rcd.type_fits(case(**it, serves=Serves.FIXED_EQUIPMENT))) == []
    assert list(rcd.type_fits(case(**it))) == []


def test_a_type_that_cannot_be_read_is_said_so(case, one):
    assert one(rcd.type_fits(case(**RCD, rcd_type="30mA"))).code is Code.RCD_TYPE_UNREAD


@pytest.mark.parametrize(("leakage", "too_much"), [("9", False), ("9.1", True), ("0", False)])
def test_standing_leakage_against_30_percent(case, leakage, too_much):
    findings = list(rcd.standing_leakage(case(**RCD, standing_leakage_ma=Decimal(leakage))))
    assert [finding.code for finding in findings] == [Code.RCD_STANDING_LEAKAGE] * too_much
