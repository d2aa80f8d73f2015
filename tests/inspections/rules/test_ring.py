"""Ring final circuits. Method: IET Guidance Note 3; widths: common practice, no source (see the module)."""

from decimal import Decimal

import pytest

from inspections.rules import ring
from inspections.rules.finding import Code

# 60 m of 2.5/1.5: r1 = rn = 0.445, r2 = 0.726 by IEC 60228; by the sizes r2 is 0.44 × 2.5 ÷ 1.5 = 0.73.
SOUND = {
    "ring": True, "live_csa_mm2": Decimal("2.5"), "cpc_csa_mm2": Decimal("1.5"),
    "r1": "0.44", "rn": "0.45", "r2": "0.73", "r1_r2": "0.29",
}  # fmt: skip
CHECKS = (
    ring.interrupted,
    ring.line_and_neutral,
    ring.cpc_against_line,
    ring.quarter,
    ring.readings_on_radial,
)


def all_codes(it):
    return [finding.code for check in CHECKS for finding in check(it)]


def test_a_sound_ring_is_silent(case):
    assert all_codes(case(**SOUND)) == []


@pytest.mark.parametrize("column", ["r1", "rn", "r2"])
@pytest.mark.parametrize("reading", [">20", "10.1"])
def test_an_interrupted_ring(case, one, column, reading):
    assert one(ring.interrupted(case(**SOUND | {column: reading}))).column == column


@pytest.mark.parametrize(
    ("rn", "column"), [("0.49", None), ("0.50", "rn"), ("0.39", None), ("0.38", "r1")]
)  # within 0.05 Ω of 0.44
def test_line_and_neutral_read_alike(case, rn, column):
    findings = list(ring.line_and_neutral(case(**SOUND | {"rn": rn})))
    assert [finding.column for finding in findings] == ([column] if column else [])


@pytest.mark.parametrize(
    ("r2", "codes"),
    # 0.733 ± 15 % (0.110): 0.623 to 0.843
    [("0.84", []), ("0.85", [Code.RING_CPC_HIGH]), ("0.63", []), ("0.62", [Code.RING_CPC_LOW]), ("LIM", [])],
)
def test_the_cpc_goes_as_its_size(case, codes_of, r2, codes):
    assert codes_of(ring.cpc_against_line(case(**SOUND | {"r2": r2}))) == codes


@pytest.mark.parametrize(
    ("r1_r2", "codes"),
    [
        ("0.29", []),
        ("0.37", []),  # 0.2925 × 1.1 + 0.05 = 0.372
        ("0.38", [Code.RING_SPUR_OR_LOOSE]),
        ("0.20", []),  # 0.2745 × 0.9 − 0.05 = 0.197
        ("0.19", [Code.RING_BELOW_QUARTER]),
        ("1.17", [Code.RING_NOT_QUARTERED]),  # r1 + r2 as it stands
        ("LIM", []),
        (">20", []),
    ],
)
def test_r1_r2_of_a_ring_is_a_quarter_of_its_ends(case, codes_of, r1_r2, codes):
    assert codes_of(ring.quarter(case(**SOUND | {"r1_r2": r1_r2}))) == codes


def test_a_ring_short_end_to_end_and_high_at_the_points_is_bridged(case, codes_of):
    """Of 100 m a bridge leaves 60 m end to end: r1 0.44 where 7.41 mΩ/m × 100 m is 0.74 Ω."""
    it = SOUND | {"r1_r2": "0.48"}
    assert codes_of(ring.quarter(case(**it, length_m=100))) == [Code.RING_CROSSED]
    assert codes_of(ring.quarter(case(**it, length_m=60))) == [Code.RING_SPUR_OR_LOOSE]


def test_end_to_end_readings_on_a_radial_are_pointed_out(case):
    assert all_codes(case(**SOUND | {"ring": False})) == [Code.RING_READINGS_ON_RADIAL] * 3


def test_rings_without_readings_are_left_to_completeness(case):
    assert all_codes(case(ring=True)) == []
