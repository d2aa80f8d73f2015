"""What a circuit asks for, and limitations: BS 7671 Appendix 6 model schedules (value from memory)."""

import pytest

from inspections.rules import completeness, limitation
from inspections.rules.finding import Code, Severity


def test_a_full_row_lacks_nothing(case):
    assert list(completeness.readings(case())) == []
    assert list(completeness.details(case())) == []


@pytest.mark.parametrize(
    ("changes", "columns"),
    [
        ({}, ["r1_r2", "ir_live_live", "ir_live_earth", "polarity", "zs"]),
        ({"ring": True}, ["r1", "rn", "r2", "r1_r2", "ir_live_live", "ir_live_earth", "polarity", "zs"]),
        (
            {"rcd_residual_ma": 30},
            ["r1_r2", "ir_live_live", "ir_live_earth", "polarity", "zs", "rcd_trip_ms", "rcd_button"],
        ),
        (
            {"device_standard": "61009"},
            ["r1_r2", "ir_live_live", "ir_live_earth", "polarity", "zs", "rcd_trip_ms", "rcd_button"],
        ),
        (
            {"rcd_standard": "N/A", "rcd_type": "-"},
            ["r1_r2", "ir_live_live", "ir_live_earth", "polarity", "zs"],
        ),
        ({"has_afdd": True}, ["r1_r2", "ir_live_live", "ir_live_earth", "polarity", "zs", "afdd_button"]),
        ({"is_selv_or_pelv": True}, ["ir_live_live", "ir_live_earth", "polarity"]),
        ({"description": "Spare", "points": None}, []),
        ({"description": "SPARE way", "points": 0}, []),
        (
            {"description": "Spare room sockets", "points": 4},
            ["r1_r2", "ir_live_live", "ir_live_earth", "polarity", "zs"],
        ),
    ],
)
def test_each_circuit_asks_for_its_own_readings(case, changes, columns):
    blank = dict.fromkeys(("r1_r2", "ir_live_live", "ir_live_earth", "polarity", "zs"), "")
    findings = list(completeness.readings(case(**blank, **changes)))
    assert [finding.column for finding in findings] == columns
    assert {finding.code for finding in findings} <= {Code.MISSING_READING}
    assert {finding.severity for finding in findings} <= {Severity.INCOMPLETE}


def test_the_letters_of_a_ring_are_not_made_capital(case):
    """r1 is a conductor end to end, R1 the line to the far end: no sentence may turn one into the other."""
    summaries = [finding.summary for finding in completeness.readings(case(ring=True))]
    assert summaries == [
        f"No entry for {name} yet: type it, or LIM with a limitation." for name in ("r1", "rn", "r2")
    ]


@pytest.mark.parametrize("r2_only", ["0.36", "LIM"])
def test_r2_alone_stands_for_r1_r2(case, r2_only):
    assert list(completeness.readings(case(r1_r2="", r2_only=r2_only))) == []
    assert list(completeness.readings(case(r1_r2="N/A", r2_only=r2_only))) == []


@pytest.mark.parametrize(
    ("reading", "code"),
    [
        ("N/A", Code.DOES_APPLY),
        ("N/V", Code.NOT_VERIFIED_UNEXPLAINED),
        ("✓", Code.NOT_A_NUMBER),
        ("LIM", None),
        (">20", None),
    ],
)
def test_words_in_place_of_zs(case, codes_of, reading, code):
    assert codes_of(completeness.readings(case(zs=reading))) == ([code] if code else [])


def test_not_verified_with_a_limitation_is_explained(case):
    assert list(completeness.readings(case(zs="N/V", covered=frozenset({"zs"})))) == []


def test_an_insulation_reading_needs_its_test_voltage(case, one):
    assert one(completeness.readings(case(ir_voltage_v=None))).column == "ir_voltage_v"
    both = {"ir_live_live": "LIM", "ir_live_earth": "LIM"}
    assert list(completeness.readings(case(ir_voltage_v=None, **both))) == []


@pytest.mark.parametrize(
    ("change", "column"),
    [
        ({"device_standard": " "}, "device_standard"),
        ({"device_rating_a": None}, "device_rating_a"),
        ({"live_csa_mm2": None}, "live_csa_mm2"),
        ({"rcd_standard": "61008"}, "rcd_residual_ma"),
    ],
)
def test_details_without_which_there_is_no_limit(case, one, change, column):
    finding = one(completeness.details(case(**change)))
    assert (finding.code, finding.column) == (Code.MISSING_DETAIL, column)


def test_spare_ways_and_selv_need_no_device(case):
    nothing = {"device_standard": "", "device_rating_a": None, "live_csa_mm2": None}
    assert list(completeness.details(case(**nothing, description="Spare", points=None))) == []
    assert list(completeness.details(case(**nothing, is_selv_or_pelv=True))) == []


@pytest.mark.parametrize("column", ["r1_r2", "ir_live_live", "polarity", "zs", "rcd_trip_ms"])
def test_every_lim_names_a_limitation(case, one, column):
    finding = one(limitation.covered(case(**{column: "LIM"})))
    assert (finding.code, finding.column) == (Code.LIM_WITHOUT_LIMITATION, column)
    assert list(limitation.covered(case(**{column: "LIM"}, covered=frozenset({column})))) == []


def test_a_limitation_on_a_test_that_was_done_is_pointed_out(case, one):
    finding = one(limitation.covered(case(covered=frozenset({"zs", "r1"}))))
    assert (finding.code, finding.column) == (Code.LIMITATION_YET_TESTED, "zs")
