"""R1+R2 against length and Zs. Resistances: IEC 60228. Widths: common practice (see the module)."""

from decimal import Decimal

import pytest

from inspections.rules import continuity
from inspections.rules.facts import BoardFacts, Conductor
from inspections.rules.finding import Code, Severity

RUN = {"live_csa_mm2": Decimal("1.5"), "cpc_csa_mm2": Decimal("1.0"), "length_m": 20}  # 30.2 mΩ/m: 0.604 Ω


@pytest.mark.parametrize(
    ("reading", "codes"),
    [
        ("0.60", []),
        ("0.77", []),  # 0.604 × 1.2 + 0.05 = 0.775
        ("0.78", [Code.CONTINUITY_ABOVE_LENGTH]),
        ("0.38", []),  # 0.604 × 0.7 − 0.05 = 0.373
        ("0.37", [Code.CONTINUITY_BELOW_LENGTH]),
        ("<0.10", [Code.CONTINUITY_BELOW_LENGTH]),
        (">20", []),  # said by cpc_open
        ("LIM", []),
    ],
)
def test_r1_r2_against_length(case, codes_of, reading, codes):
    assert codes_of(continuity.against_length(case(**RUN, r1_r2=reading))) == codes


def test_the_working_can_be_followed(case, one):
    finding = one(continuity.against_length(case(**RUN, conductor_temperature_c=10, r1_r2="0.99")))
    assert finding.working == "(12.1 + 18.1) mΩ/m × 20 m × 0.96 at 10 °C = 0.58 Ω"


def test_a_ring_is_a_quarter_of_its_length(case):
    ring = case(**RUN | {"length_m": 80}, ring=True).circuit
    assert continuity.by_length(ring).ohm == continuity.by_length(case(**RUN).circuit).ohm


@pytest.mark.parametrize(
    "change",
    [{"length_m": None}, {"length_m": 0}, {"live_csa_mm2": Decimal("1.3")}, {"cpc_csa_mm2": None},
     {"conductor": Conductor.ALUMINIUM}],
)  # fmt: skip
def test_without_length_size_or_table_it_is_silent(case, change):
    assert list(continuity.against_length(case(**RUN | change, r1_r2="9.99"))) == []


@pytest.mark.parametrize("column", ["r1_r2", "r2_only"])
def test_over_range_is_an_unproved_cpc(case, one, column):
    finding = one(continuity.cpc_open(case(**{column: ">20"})))
    assert (finding.code, finding.column, finding.severity) == (Code.CPC_OPEN, column, Severity.OUT_OF_LIMIT)


@pytest.mark.parametrize(
    ("zs", "codes"),
    [
        ("0.81", []),  # 0.21 + 0.60 = 0.81, ± 20 %
        ("0.97", []),
        ("0.98", [Code.ZS_ABOVE_SUM]),
        ("0.65", []),
        ("0.64", [Code.ZS_BELOW_SUM]),
        (">20", [Code.ZS_ABOVE_SUM]),
        ("LIM", []),
    ],
)
def test_zs_against_the_board_and_r1_r2(case, codes_of, zs, codes):
    assert codes_of(continuity.zs_against_sum(case(zs=zs))) == codes


def test_short_circuits_have_a_tenth_of_an_ohm_of_play(case, codes_of):
    assert codes_of(continuity.zs_against_sum(case(r1_r2="0.05", zs="0.36"))) == []
    assert codes_of(continuity.zs_against_sum(case(r1_r2="0.05", zs="0.37"))) == [Code.ZS_ABOVE_SUM]


def test_r2_alone_gives_r1_r2_by_the_sizes(case, one):
    """0.36 Ω × (1.5 + 1) ÷ 1.5 = 0.60 Ω."""
    finding = one(continuity.zs_against_sum(case(r1_r2="", r2_only="0.36", zs="1.20")))
    assert finding.working == "R2 0.36 × (1.5 + 1) ÷ 1.5 = 0.60 Ω; 0.21 + 0.60 = 0.81 Ω"


def test_a_ring_without_r1_r2_gives_a_quarter_of_its_ends(case, one):
    it = case(ring=True, r1_r2="", r1="0.90", r2="1.50", zs="1.20")
    assert dict(one(continuity.zs_against_sum(it)).figures)["expected"] == "0.81 Ω"


def test_without_zs_at_the_board_nothing_is_compared(case):
    assert list(continuity.zs_against_sum(case(board=BoardFacts(), zs="9.99"))) == []
    assert list(continuity.zs_against_sum(case(r1_r2="LIM", zs="9.99"))) == []
