"""cpc withstand and voltage drop on circuits. k: IEC 60364-5-54; limits: BS 7671 Appendices 3 and 4."""

from decimal import Decimal

import pytest

from inspections.rules import thermal, voltage_drop
from inspections.rules.facts import ConductorInsulation
from inspections.rules.finding import Code, Severity

FLAT = {"conductor_insulation": ConductorInsulation.THERMOPLASTIC}


def test_a_rewireable_fuse_at_its_5_s_limit_needs_more_than_1_5_mm2(case, one):
    """BS 3036 30 A, Zs up to 2.51 Ω: 230 × 0.95 ÷ 2.51 = 87.05 A for 5 s; √(87.05² × 5) ÷ 115 = 1.69 mm²."""
    fuse = {**FLAT, "device_standard": "3036", "device_rating_a": 30, "cpc_csa_mm2": Decimal("1.5")}
    finding = one(thermal.cpc_withstand(case(**fuse, zs="2.00")))
    assert (finding.code, finding.severity) == (Code.CPC_THERMALLY_SMALL, Severity.LOOK_INTO)
    assert finding.working == "√(87.05² × 5) ÷ 115 = 1.69 mm²"
    assert list(thermal.cpc_withstand(case(**fuse | {"cpc_csa_mm2": Decimal("2.5")}, zs="2.00"))) == []


def test_the_same_fuse_within_its_0_4_s_limit_is_content_with_1_5_mm2(case):
    """210.1 A for 0.4 s: √(210.1² × 0.4) ÷ 115 = 1.16 mm²."""
    fuse = {**FLAT, "device_standard": "3036", "device_rating_a": 30, "cpc_csa_mm2": Decimal("1.5")}
    assert list(thermal.cpc_withstand(case(**fuse, zs="1.04"))) == []


def test_a_breaker_at_once_is_taken_at_a_tenth_of_a_second(case, one):
    """230 ÷ 0.50 = 460 A: √(460² × 0.1) ÷ 115 = 1.26 mm²."""
    finding = one(thermal.cpc_withstand(case(**FLAT, zs="0.50")))
    assert (finding.code, finding.severity) == (Code.CPC_LET_THROUGH, Severity.NOTE)
    assert finding.working == "√(460.00² × 0.1) ÷ 115 = 1.26 mm²"
    assert list(thermal.cpc_withstand(case(**FLAT, zs="0.81"))) == []


@pytest.mark.parametrize(
    "changes",
    [
        {"zs": "0.50"},  # insulation not said
        {**FLAT, "zs": "0.00"},
        {**FLAT, "zs": ">20"},
        {**FLAT, "zs": "9.99"},  # does not trip at once: said by the Zs check
        {**FLAT, "zs": "0.50", "cpc_csa_mm2": None},
        {**FLAT, "zs": "0.50", "device_standard": "?"},
        {**FLAT, "zs": "0.50", "device_standard": "60947-2"},
        {**FLAT, "zs": "99", "device_standard": "3036", "device_rating_a": 30},
    ],
)
def test_without_its_facts_the_cpc_is_not_judged(case, changes):
    assert list(thermal.cpc_withstand(case(**changes))) == []


def test_voltage_drop_of_a_long_lighting_circuit(case, one):
    """R1 = 1.20 × 1 ÷ 2.5 = 0.48 Ω; 2 × 0.48 × 1.2 × 6 A ÷ 230 V = 3.01 %."""
    light = {"r1_r2": "1.20", "design_current_a": 6, "serves_lighting": True}
    finding = one(voltage_drop.drop(case(**light)))
    assert dict(finding.figures) == {"drop": "3.01 %", "limit": "3 %", "load": "6 A"}
    assert list(voltage_drop.drop(case(**light | {"r1_r2": "1.19"}))) == []
    assert list(voltage_drop.drop(case(**light | {"serves_lighting": False}))) == []


def test_three_balanced_phases_drop_half(case):
    """Line alone: 0.48 × 1.2 × 12 A ÷ 230 V = 3.01 %, as of 6 A there and back."""
    three = {"r1_r2": "1.20", "design_current_a": 12, "serves_lighting": True, "three_phase": True}
    assert [f.figures[0] for f in voltage_drop.drop(case(**three))] == [("drop", "3.01 %")]


def test_thermosetting_runs_hotter_and_a_warm_measurement_less_so(case):
    """1.28 ÷ 1.04 = 1.23: 2 × 0.48 × 1.2308 × 6 ÷ 230 = 3.08 %."""
    hot = {"conductor_insulation": ConductorInsulation.THERMOSETTING, "conductor_temperature_c": 30}
    it = case(**hot, r1_r2="1.20", design_current_a=6, serves_lighting=True)
    assert [f.figures[0] for f in voltage_drop.drop(it)] == [("drop", "3.08 %")]


def test_a_ring_shares_its_load_between_its_legs(case):
    """(0.50 + 0.50) ÷ 8 = 0.125 Ω; 2 × 0.125 × 1.2 × 32 ÷ 230 = 4.17 %, within 5 %; at 40 A 5.22 %."""
    ring = {"ring": True, "r1": "0.50", "rn": "0.50"}
    assert list(voltage_drop.drop(case(**ring, design_current_a=32))) == []
    (finding,) = voltage_drop.drop(case(**ring, design_current_a=40))
    assert finding.figures[0] == ("drop", "5.22 %")


@pytest.mark.parametrize(
    "changes",
    [{}, {"design_current_a": 99, "r1_r2": "LIM"}, {"design_current_a": 99, "cpc_csa_mm2": None}],
)
def test_without_load_or_resistance_there_is_no_drop_to_tell(case, changes):
    assert list(voltage_drop.drop(case(**changes))) == []
