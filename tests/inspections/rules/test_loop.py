"""Largest permitted Zs and the measured Zs held to it. Limits: BS 7671:2018+A2:2022 Tables 41.1 to 41.5."""

from dataclasses import replace
from decimal import Decimal

import pytest

from inspections.rules import loop
from inspections.rules.edition import load
from inspections.rules.facts import Earthing, Serves, SupplyFacts
from inspections.rules.finding import Code, Severity
from inspections.rules.loop import CannotTell, MaxZs


def limit_of(case, **changes):
    it = case(**changes)
    return loop.max_zs(it.circuit, it.supply, it.edition)


TT = SupplyFacts(Earthing.TT, u0_v=Decimal(230))


def test_zs_within_the_cold_limit_is_silent(case):
    assert list(loop.zs_against_limit(case(device_rating_a=32, zs="1.09"))) == []  # 0.8 × 1.3656 = 1.0925


def test_zs_between_the_cold_limit_and_the_full_limit_is_to_be_looked_into_with_both_shown(case, one):
    finding = one(loop.zs_against_limit(case(device_rating_a=32, zs="1.10")))
    assert (finding.code, finding.severity, finding.column) == (
        Code.ZS_OVER_COLD_LIMIT,
        Severity.LOOK_INTO,
        "zs",
    )
    assert dict(finding.figures) == {"measured": "1.10 Ω", "limit cold": "1.09 Ω", "limit": "1.37 Ω"}
    assert finding.working == "230 × 0.95 ÷ (5 × 32) = 1.37 Ω; × 0.8 = 1.09 Ω"


def test_zs_above_the_full_limit_is_out_of_limit(case, one):
    finding = one(loop.zs_against_limit(case(device_rating_a=32, zs="1.52")))
    assert (finding.code, finding.severity) == (Code.ZS_OVER_LIMIT, Severity.OUT_OF_LIMIT)
    assert finding.summary == "Zs 1.52 Ω is above 1.37 Ω."
    assert finding.reference == "BS 7671:2018+A2:2022, Table 41.3"


def test_a_limit_that_would_look_equal_to_the_reading_is_shown_with_more_places(case, one):
    finding = one(loop.zs_against_limit(case(device_rating_a=32, zs="1.37")))
    assert finding.summary == "Zs 1.37 Ω is above 1.3656 Ω."


def test_on_tn_an_rcd_makes_a_high_zs_a_matter_to_look_into(case, one):
    finding = one(loop.zs_against_limit(case(device_rating_a=32, rcd_residual_ma=30, zs="1.52")))
    assert (finding.code, finding.severity) == (Code.ZS_RELIES_ON_RCD, Severity.LOOK_INTO)
    assert dict(finding.figures)["limit of the RCD"] == "1666.67 Ω"


def test_a_range_that_ends_below_the_limit_cannot_tell(case, one):
    finding = one(loop.zs_against_limit(case(device_rating_a=6, zs=">2")))
    assert finding.code is Code.ZS_RANGE_SHORT


def test_a_range_that_ends_above_the_limit_is_out_of_limit(case, one):
    assert one(loop.zs_against_limit(case(zs=">20"))).code is Code.ZS_OVER_LIMIT


def test_on_tt_the_rcd_gives_the_limit_and_200_ohm_the_advice(case, one):
    it = case(supply=TT, rcd_residual_ma=30, zs="231")
    assert list(loop.zs_against_limit(it)) == []
    assert one(loop.electrode_stability(it)).code is Code.ZS_UNSTABLE_ELECTRODE
    assert list(loop.electrode_stability(case(supply=TT, zs="200"))) == []
    assert list(loop.electrode_stability(case(zs="231"))) == []


@pytest.mark.parametrize(
    ("circuit", "supply", "seconds"),
    [
        ({}, {}, "0.4"),
        ({"serves": Serves.SOCKET_OUTLETS, "device_rating_a": 63}, {}, "0.4"),
        ({"serves": Serves.SOCKET_OUTLETS, "device_rating_a": 80}, {}, "5"),
        ({"serves": Serves.FIXED_EQUIPMENT, "device_rating_a": 32}, {}, "0.4"),
        ({"serves": Serves.FIXED_EQUIPMENT, "device_rating_a": 40}, {}, "5"),
        ({"serves": Serves.DISTRIBUTION}, {}, "5"),
        ({"serves": Serves.DISTRIBUTION}, {"earthing": Earthing.TT}, "1"),
        ({}, {"earthing": Earthing.TT}, "0.2"),
        ({}, {"u0_v": Decimal(120)}, "0.8"),
        ({}, {"u0_v": Decimal(120), "earthing": Earthing.TT}, "0.3"),
        ({}, {"u0_v": Decimal(121)}, "0.4"),
        ({}, {"u0_v": Decimal(400)}, "0.2"),
        ({}, {"u0_v": Decimal(400), "earthing": Earthing.TT}, "0.07"),
        ({}, {"u0_v": Decimal(690)}, "0.1"),
        ({}, {"u0_v": Decimal(690), "earthing": Earthing.TT}, "0.04"),
        ({"disconnection_time_s": 5}, {}, "5"),
    ],
)
def test_disconnection_time_follows_table_41_1(case, circuit, supply, seconds):
    it = case(**circuit)
    time = loop.disconnection_time(it.circuit, replace(it.supply, **supply), it.edition)
    assert time.s == Decimal(seconds)


def test_no_disconnection_time_at_extra_low_voltage_to_earth(case):
    it = case(supply=SupplyFacts(Earthing.TN_S, u0_v=Decimal(50)))
    assert isinstance(loop.disconnection_time(it.circuit, it.supply, it.edition), CannotTell)


def test_a_type_d_breaker_may_be_slower_where_5_s_are_allowed(case):
    slow = limit_of(case, device_type="D", device_rating_a=20, disconnection_time_s=5)
    fast = limit_of(case, device_type="D", device_rating_a=20, disconnection_time_s=1)
    assert (slow.working, fast.working) == (
        "230 × 0.95 ÷ (10 × 20) = 1.09 Ω",
        "230 × 0.95 ÷ (20 × 20) = 0.55 Ω",
    )


def test_a_fuse_is_held_to_the_printed_time_not_above_the_one_asked(case):
    it = limit_of(case, device_standard="3036", device_rating_a=30, disconnection_time_s=1)
    assert (it.ohm, it.working) == (Decimal("1.04"), "BS 3036, 30 A, 0.4 s: 1.04 Ω")


def test_a_fuse_table_is_scaled_to_another_nominal_voltage(case):
    it = limit_of(
        case,
        supply=SupplyFacts(Earthing.TN_S, u0_v=Decimal(115)),
        device_standard="1361",
        device_rating_a=30,
        disconnection_time_s=Decimal("0.4"),
    )
    assert it.ohm == Decimal("1.0925") / 2


@pytest.mark.parametrize(
    ("changes", "part"),
    [
        ({"device_standard": ""}, "standard of the protective device is not given"),
        ({"device_standard": "12345"}, "has no figures here for “12345”"),
        ({"device_standard": "60947-2"}, "its setting decides"),
        ({"device_rating_a": None}, "rating of the protective device is not given"),
        ({"device_type": ""}, "give the type as one of B, C, D"),
        ({"device_type": "K"}, "type “K”"),
        ({"device_standard": "88-2", "device_type": "gM"}, "do not hold for type GM"),
        ({"device_standard": "88-2", "device_rating_a": 33}, "BS 88-2, 33 A, 0.4 s"),
        ({"device_standard": "3036", "device_rating_a": 30, "supply": TT}, "0.2 s"),
        ({"disconnection_time_s": Decimal("0.05")}, "not sure to disconnect within 0.05 s"),
        ({"supply": SupplyFacts(Earthing.TN_S)}, "nominal voltage to earth of the supply"),
        ({"supply": SupplyFacts(u0_v=Decimal(230))}, "earthing arrangement"),
    ],
)
def test_where_it_cannot_tell_it_says_why(case, changes, part):
    it = limit_of(case, **changes)
    assert isinstance(it, CannotTell)
    assert part in it.reason


def test_a_reading_that_cannot_be_judged_is_said_to_be_incomplete(case, one):
    finding = one(loop.zs_against_limit(case(device_standard="60947-2")))
    assert (finding.code, finding.severity) == (Code.ZS_LIMIT_UNKNOWN, Severity.INCOMPLETE)


def test_without_a_limit_of_ours_the_typed_one_is_used(case, one):
    it = {"device_standard": "60947-2", "max_zs_ohm": Decimal("0.40")}
    assert list(loop.zs_against_limit(case(**it, zs="0.40"))) == []
    assert one(loop.zs_against_limit(case(**it, zs="0.41"))).code is Code.ZS_OVER_LIMIT


@pytest.mark.parametrize(
    ("typed", "differs"), [("1.37", False), ("1.36", False), ("1.09", False), ("1.44", True)]
)
def test_a_typed_limit_of_another_edition_is_pointed_out(case, typed, differs):
    findings = list(loop.typed_limit(case(device_rating_a=32, max_zs_ohm=Decimal(typed))))
    assert [finding.code for finding in findings] == [Code.ZS_LIMIT_TYPED_DIFFERS] * differs


def test_selv_has_no_earth_fault_loop_to_judge(case):
    assert list(loop.zs_against_limit(case(is_selv_or_pelv=True, zs="9.99"))) == []


def test_an_edition_without_cmin_allows_the_whole_voltage(case):
    it = limit_of(case, device_rating_a=32, edition=load("iec60364_6_2016"))
    assert isinstance(it, MaxZs)
    assert (it.working, it.source.publication) == ("230 ÷ (5 × 32) = 1.44 Ω", "IEC 60898-1")
