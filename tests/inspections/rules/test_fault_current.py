"""Prospective fault current: BS 7671 434.5.1, IET Guidance Note 3; widths common practice."""

from dataclasses import replace
from decimal import Decimal

import pytest

from inspections.rules import fault_current
from inspections.rules.edition import load
from inspections.rules.facts import BoardFacts, Earthing, SupplyFacts
from inspections.rules.finding import Code, Severity
from inspections.rules.readings import Reading

BS7671 = load("bs7671_2018_a2_2022")


def board(ipf: str = "", zdb: str = "", **more) -> BoardFacts:
    return BoardFacts(ipf_ka=Reading.parse(ipf), zdb_ohm=Reading.parse(zdb), **more)


@pytest.mark.parametrize(("ipf", "is_short"), [("6.0", False), ("6.1", True), (">10", True), ("", False)])
def test_ipf_against_the_breaking_capacity(case, ipf, is_short):
    findings = list(fault_current.breaking_capacity(case(board=board(ipf), breaking_capacity_ka=6)))
    assert [finding.code for finding in findings] == [Code.BREAKING_CAPACITY_SHORT] * is_short


def test_without_ipf_it_is_worked_out_from_zs_at_the_board(case, one):
    """230 ÷ 0.03 = 7.67 kA; a three-phase board takes twice that."""
    finding = one(fault_current.breaking_capacity(case(board=board(zdb="0.03"), breaking_capacity_ka=6)))
    assert (finding.severity, finding.working) == (Severity.OUT_OF_LIMIT, "230 ÷ 0.03 = 7.67 kA")
    three = board(zdb="0.05", three_phase=True)
    finding = one(fault_current.breaking_capacity(case(board=three, breaking_capacity_ka=6)))
    assert finding.working == "230 ÷ 0.05 × 2 = 9.20 kA"


def test_a_capacity_not_typed_is_known_from_standard_and_type(case, one):
    """BS 3036 category S2A: 2 kA."""
    it = case(board=board("2.1"), breaking_capacity_ka=None, device_standard="3036", device_type="S2A")
    finding = one(fault_current.breaking_capacity(it))
    assert dict(finding.figures)["breaking capacity"] == "2 kA"
    plug = case(board=board("6.1"), breaking_capacity_ka=None, device_standard="1362", device_type="")
    assert dict(one(fault_current.breaking_capacity(plug)).figures)["breaking capacity"] == "6 kA"


def test_without_any_capacity_it_is_silent(case):
    assert list(fault_current.breaking_capacity(case(board=board("9"), breaking_capacity_ka=None))) == []
    unknown = case(board=board("9"), breaking_capacity_ka=None, device_standard="?")
    assert list(fault_current.breaking_capacity(unknown)) == []


def test_amperes_typed_for_kiloamperes(case, one):
    finding = one(fault_current.breaking_capacity(case(breaking_capacity_ka=6000)))
    assert (finding.code, finding.summary) == (
        Code.BREAKING_CAPACITY_IN_AMPERES,
        "Breaking capacity 6000 kA seems to be in amperes: 6 kA?",
    )


def supply(earthing: Earthing, ze: str, ipf: str, *, three_phase: bool = False) -> SupplyFacts:
    return SupplyFacts(earthing, three_phase, Decimal(230), None, Reading.parse(ze), Reading.parse(ipf))


@pytest.mark.parametrize(
    ("facts", "codes"),
    [
        # 230 ÷ 0.20 = 1.15 kA
        (supply(Earthing.TN_C_S, "0.20", "1.15"), []),
        (supply(Earthing.TN_C_S, "0.20", "0.86"), [Code.FAULT_CURRENT_BELOW_EARTH_FAULT]),
        (supply(Earthing.TN_S, "0.20", "0.86"), [Code.FAULT_CURRENT_BELOW_EARTH_FAULT]),
        (supply(Earthing.TN_C_S, "0.20", "1.73"), [Code.FAULT_CURRENT_ABOVE_LOOP]),
        (supply(Earthing.TN_S, "0.20", "1.73"), []),
        (supply(Earthing.TT, "21", "1.10"), []),
        (supply(Earthing.TN_C_S, "0.20", "2.30", three_phase=True), []),
        (supply(Earthing.TN_C_S, "0.20", "1.15", three_phase=True), [Code.FAULT_CURRENT_ONE_PHASE_ONLY]),
        (supply(Earthing.TN_C_S, "LIM", "1.15"), []),
        (supply(Earthing.TN_C_S, "0.20", "LIM"), []),
        (supply(Earthing.TN_C_S, "0.00", "1.15"), []),
    ],
)
def test_ipf_at_the_origin_against_ze(codes_of, facts, codes):
    assert codes_of(fault_current.supply(facts, BS7671)) == codes


def test_without_a_nominal_voltage_the_supply_is_not_judged():
    facts = replace(supply(Earthing.TN_C_S, "0.20", "9"), u0_v=None)
    assert list(fault_current.supply(facts, BS7671)) == []


def test_least_fault_current_at_the_far_end():
    """230 × 0.95 ÷ 1.37 = 159 A: what still trips a 32 A type B, five times its rating."""
    least = fault_current.least(Decimal(230), Decimal("1.37"), BS7671)
    assert round(least.ka * 1000) == 159
    assert least.working == "230 × 0.95 ÷ 1.37 = 0.16 kA"
