"""Examples worked in print, followed with our functions."""

from decimal import Decimal

import pytest

from inspections.rules import continuity, fault_current, insulation, ring
from inspections.rules.edition import load
from inspections.rules.facts import CircuitFacts, CircuitReadings
from inspections.rules.readings import Reading


def test_five_circuits_in_parallel():
    """Inspection and testing handbooks: 5, 20, 10, 20 and 2 MΩ together read 1.11 MΩ."""
    whole = insulation.parallel(Decimal(value) for value in (5, 20, 10, 20, 2))
    assert f"{whole:.2f}" == "1.11"


@pytest.mark.parametrize(("x", "ohm"), [("0", "0.313"), ("0.5", "0.334"), ("1", "0.313")])
def test_ring_step_3_from_the_board_to_half_way(x, ohm):
    """IET Guidance Note 3 ring test: r1 0.500, r2 0.835 Ω: r1·r2/(r1+r2) at the board, (r1+r2)/4 half way."""
    assert f"{ring.at_point(Decimal('0.500'), Decimal('0.835'), Decimal(x)):.3f}" == ohm


@pytest.mark.parametrize(
    ("r1", "r2", "least", "most"),
    [("0.445", "0.726", "0.276", "0.293"), ("0.461", "1.210", "0.334", "0.418")],
)
def test_ring_spread_hardly_seen_with_2_5_1_5_and_clear_with_4_1_5(r1, r2, least, most):
    """60 m of 2.5/1.5 and 100 m of 4/1.5, by IEC 60228 and the step 3 formula."""
    ends = [ring.at_point(Decimal(r1), Decimal(r2), Decimal(x)) for x in ("0", "0.5")]
    assert [float(end) for end in ends] == pytest.approx([float(least), float(most)], abs=0.001)


def test_22_m_of_2_5_1_5():
    """IET On-Site Guide table: 22 × 19.51 ÷ 1000 = 0.429 Ω."""
    run = CircuitFacts(live_csa_mm2=Decimal("2.5"), cpc_csa_mm2=Decimal("1.5"), length_m=Decimal(22))
    assert f"{continuity.by_length(run).ohm:.3f}" == "0.429"


def test_split_of_r1_r2_by_size():
    """R2 = (R1+R2)·S1/(S1+S2): of 0.85 Ω on 2.5/1.5, R2 is 0.53 and R1 0.32 Ω; back from R2 gives 0.85."""
    run = CircuitFacts(live_csa_mm2=Decimal("2.5"), cpc_csa_mm2=Decimal("1.5"))
    back = continuity.line_and_cpc(run, CircuitReadings(r2_only=Reading.parse("0.53")))
    assert f"{back.ohm:.2f}" == "0.85"


def test_fault_current_from_ze():
    """IET Guidance Note 3: Ze 0.3 Ω at 230 V gives 0.77 kA; three phases are taken as twice that."""
    edition = load("bs7671_2018_a2_2022")
    one = fault_current.largest(Decimal(230), Decimal("0.3"), three_phase=False, edition=edition)
    three = fault_current.largest(Decimal(230), Decimal("0.3"), three_phase=True, edition=edition)
    assert f"{one.ka:.2f}" == "0.77"
    assert f"{three.ka:.2f}" == "1.53"


def test_longest_run_for_a_loop_limit():
    """Published design example: 1/1 mm², limit 7.17 Ω, Ze 0.45 Ω: (7.17 − 0.45) ÷ 0.0362 = 185.6 m."""
    per_metre = continuity.by_length(
        CircuitFacts(live_csa_mm2=Decimal(1), cpc_csa_mm2=Decimal(1), length_m=Decimal(1))
    )
    assert f"{(Decimal('7.17') - Decimal('0.45')) / per_metre.ohm:.1f}" == "185.6"
