"""Insulation resistance. Limits: BS 7671:2018+A2:2022 Table 64, 643.3.2; IET Guidance Note 3; IEC 61557-2."""

from decimal import Decimal

import pytest

from inspections.rules import insulation
from inspections.rules.facts import BoardFacts, SupplyFacts
from inspections.rules.finding import Code, Severity
from inspections.rules.readings import Reading


@pytest.mark.parametrize(
    ("reading", "codes"),
    [
        ("0.99", [Code.INSULATION_LOW]),
        ("<1", [Code.INSULATION_LOW]),
        ("0.00", [Code.INSULATION_LOW]),
        ("1", [Code.INSULATION_LOOK_INTO]),
        ("1.99", [Code.INSULATION_LOOK_INTO]),
        (">1.5", [Code.INSULATION_LOOK_INTO]),
        ("2", []),
        (">200", []),
        ("<2", [Code.INSULATION_RANGE_SHORT]),
        (">0.5", [Code.INSULATION_RANGE_SHORT]),
        ("LIM", []),
        ("", []),
    ],
)
def test_a_reading_against_minimum_and_the_figure_to_look_into(case, codes_of, reading, codes):
    assert codes_of(insulation.minimum(case(ir_live_earth=reading))) == codes


def test_a_low_reading_is_out_of_limit_beside_its_own_cell(case, one):
    finding = one(insulation.minimum(case(ir_live_live="0.19")))
    assert (finding.column, finding.severity) == ("ir_live_live", Severity.OUT_OF_LIMIT)
    assert finding.summary == "Live-live 0.19 MΩ is below 1 MΩ."
    assert dict(finding.figures) == {"measured": "0.19 MΩ", "minimum": "1 MΩ"}
    assert finding.reference == "BS 7671:2018+A2:2022, Table 64"


def test_selv_needs_half_a_megohm_and_no_second_look(case, one):
    selv = {"is_selv_or_pelv": True, "ir_voltage_v": 250}
    assert list(insulation.minimum(case(**selv, ir_live_earth="0.50"))) == []
    assert one(insulation.minimum(case(**selv, ir_live_earth="0.49"))).code is Code.INSULATION_LOW


def test_selv_with_equipment_connected_needs_a_whole_megohm(case, one):
    it = case(is_selv_or_pelv=True, equipment_connected=True, ir_live_earth="0.60")
    assert one(insulation.minimum(it)).figures[1] == ("minimum", "1 MΩ")


def test_without_a_nominal_voltage_nothing_is_asked(case):
    it = case(supply=SupplyFacts(), ir_live_earth="0.01")
    assert list(insulation.minimum(it)) == []
    assert list(insulation.voltage_used(it)) == []


@pytest.mark.parametrize(
    ("changes", "code", "severity"),
    [
        ({"ir_voltage_v": 500}, None, None),
        ({"ir_voltage_v": 250}, Code.INSULATION_TEST_VOLTAGE, Severity.LOOK_INTO),
        ({"ir_voltage_v": 1000}, Code.INSULATION_TEST_VOLTAGE, Severity.NOTE),
        ({"ir_voltage_v": 500, "nominal_voltage_v": 690}, Code.INSULATION_TEST_VOLTAGE, Severity.LOOK_INTO),
        ({"ir_voltage_v": 1000, "nominal_voltage_v": 690}, None, None),
        ({"ir_voltage_v": 250, "is_selv_or_pelv": True}, None, None),
        ({"ir_voltage_v": 500, "is_selv_or_pelv": True}, Code.INSULATION_TEST_VOLTAGE, Severity.NOTE),
        ({"ir_voltage_v": 250, "equipment_connected": True}, None, None),
        (
            {"ir_voltage_v": 500, "equipment_connected": True},
            Code.INSULATION_EQUIPMENT_STRESSED,
            Severity.LOOK_INTO,
        ),
        (
            {"ir_voltage_v": 100, "equipment_connected": True},
            Code.INSULATION_TEST_VOLTAGE,
            Severity.LOOK_INTO,
        ),
        ({"ir_voltage_v": None}, None, None),
        ({"ir_voltage_v": 0}, None, None),
    ],
)
def test_the_test_voltage_suits_the_circuit(case, changes, code, severity):
    findings = list(insulation.voltage_used(case(**changes)))
    assert [(finding.code, finding.severity) for finding in findings] == ([(code, severity)] if code else [])


def test_250_v_without_reason_says_what_it_is_for(case, one):
    assert one(insulation.voltage_used(case(ir_voltage_v=250))).summary == (
        "Tested at 250 V; this circuit needs 500 V. "
        "The lower voltage is for equipment that stays connected: if it did, mark the circuit so."
    )


@pytest.mark.parametrize(
    ("volts", "held"), [(250, "0.25"), (500, "0.5"), (1000, "1")]
)  # 1 mA at the nominal voltage: IEC 61557-2, 6.4
def test_below_what_the_tester_holds_its_voltage_is_flagged(case, one, volts, held):
    below = str(Decimal(held) - Decimal("0.01"))
    finding = one(insulation.voltage_not_held(case(ir_voltage_v=volts, ir_live_live=below)))
    assert (finding.code, finding.severity) == (Code.INSULATION_VOLTAGE_NOT_HELD, Severity.NOTE)
    assert list(insulation.voltage_not_held(case(ir_voltage_v=volts, ir_live_live=held))) == []


@pytest.mark.parametrize(
    ("live_live", "live_earth", "codes"),
    [
        ("0.19", ">200", [Code.INSULATION_PATH_BETWEEN_LIVES]),  # a load left in
        ("0.19", "0.09", [Code.INSULATION_PATH_BETWEEN_LIVES]),  # 0.19 × 1.3 < 4 × 0.09 × 0.7
        ("0.19", "0.08", []),  # readings 30 % off leave earth alone to account for it
        ("0.19", "0.04", []),
        ("0.19", "<0.09", []),  # the earth reading may be anything below
        (">200", "0.50", [Code.INSULATION_ONE_CONDUCTOR]),
        ("3.71", "0.50", []),  # both conductors may share it
        ("3.72", "0.50", [Code.INSULATION_ONE_CONDUCTOR]),  # 3.72 × 0.7 > 4 × 0.50 × 1.3
        (">200", ">200", []),
        ("50", ">200", []),  # nothing low
        ("LIM", "0.50", []),
    ],
)
def test_where_a_low_path_must_lie(case, codes_of, live_live, live_earth, codes):
    it = case(ir_live_live=live_live, ir_live_earth=live_earth)
    assert codes_of(insulation.where_the_path_lies(it)) == codes


def test_four_live_conductors_may_share_a_path_that_two_could_not(case, codes_of):
    it = {"ir_live_live": "5.00", "ir_live_earth": "0.50"}
    assert codes_of(insulation.where_the_path_lies(case(**it))) == [Code.INSULATION_ONE_CONDUCTOR]
    assert codes_of(insulation.where_the_path_lies(case(**it, three_phase=True))) == []


def board(reading: str) -> BoardFacts:
    return BoardFacts("DB1", ir_voltage_v=Decimal(500), ir_live_earth=Reading.parse(reading))


@pytest.mark.parametrize(
    ("whole", "codes"),
    [
        # 5, 20, 10, 20 and 2 MΩ: 1.11 MΩ; two readings of ± 30 %: 0.60 to 2.06 MΩ.
        ("1.11", []),
        ("2.00", []),
        ("2.10", [Code.BOARD_INSULATION_ABOVE_CIRCUITS]),
        (">20", [Code.BOARD_INSULATION_ABOVE_CIRCUITS]),
        ("0.62", [Code.BOARD_INSULATION_LOW]),
        ("0.58", [Code.BOARD_INSULATION_LOW, Code.BOARD_INSULATION_BELOW_CIRCUITS]),
    ],
)
def test_whole_board_against_the_parallel_of_its_circuits(case, codes_of, whole, codes):
    circuits = [case(ir_live_earth=value) for value in ("5", "20", "10", "20", "2")]
    assert codes_of(insulation.whole_board(board(whole), circuits, circuits[0].edition)) == codes


def test_a_circuit_not_read_leaves_only_the_upper_bound(case, codes_of):
    circuits = [case(ir_live_earth=value) for value in ("5", "LIM")]
    edition = circuits[0].edition
    assert codes_of(insulation.whole_board(board("1.2"), circuits, edition)) == []
    assert codes_of(insulation.whole_board(board("50"), circuits, edition)) == [
        Code.BOARD_INSULATION_ABOVE_CIRCUITS
    ]


def test_circuits_over_range_leave_only_the_lower_bound(case, codes_of, one):
    circuits = [case(ir_live_earth=">200"), case(ir_live_earth=">200")]
    edition = circuits[0].edition
    assert codes_of(insulation.whole_board(board(">999"), circuits, edition)) == []
    finding = one(insulation.whole_board(board("20"), circuits, edition))
    assert (finding.code, dict(finding.figures)["circuits"]) == (
        Code.BOARD_INSULATION_BELOW_CIRCUITS,
        "100.00 MΩ or more",
    )


def test_spare_ways_and_blank_boards_say_nothing(case):
    spare = case(description="Spare", points=None, ir_live_earth="")
    sound = case(ir_live_earth="5")
    assert list(insulation.whole_board(board("5"), [spare, sound], sound.edition)) == []
    assert list(insulation.whole_board(BoardFacts(), [sound], sound.edition)) == []
    assert list(insulation.whole_board(board("5"), [], sound.edition)) == []


def test_resistances_in_parallel_with_an_open_or_a_short():
    assert insulation.parallel([Decimal("Infinity"), Decimal(5)]) == 5
    assert insulation.parallel([Decimal(0), Decimal(5)]) == 0
    assert insulation.parallel([]) == Decimal("Infinity")
