"""All checks together."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from inspections.rules import engine
from inspections.rules.edition import load
from inspections.rules.facts import BoardFacts, CircuitReadings, Earthing, InstrumentFacts, SupplyFacts
from inspections.rules.finding import Code, Finding, Severity, worst_first
from inspections.rules.observations import suggested_observation
from inspections.rules.readings import Reading
from inspections.rules.speed import board_of

BS7671 = load("bs7671_2018_a2_2022")


def test_a_sound_circuit_has_no_findings(case):
    assert engine.check_circuit(case()) == ()


def test_a_row_full_of_faults_is_told_worst_first(case):
    it = case(zs="9.00", ir_live_live="0.19", r1_r2="LIM", polarity="", breaking_capacity_ka=6000)
    findings = engine.check_circuit(it)
    assert [(finding.severity, finding.code) for finding in findings] == [
        (Severity.OUT_OF_LIMIT, Code.INSULATION_LOW),
        (Severity.OUT_OF_LIMIT, Code.ZS_OVER_LIMIT),
        (Severity.DISAGREES, Code.BREAKING_CAPACITY_IN_AMPERES),
        (Severity.INCOMPLETE, Code.MISSING_READING),
        (Severity.INCOMPLETE, Code.LIM_WITHOUT_LIMITATION),
        (Severity.NOTE, Code.INSULATION_PATH_BETWEEN_LIVES),
        (Severity.NOTE, Code.INSULATION_VOLTAGE_NOT_HELD),
    ]


def test_an_empty_row_says_only_what_is_missing(case):
    it = replace(case(), readings=CircuitReadings())
    assert {finding.code for finding in engine.check_circuit(it)} == {Code.MISSING_READING}


def test_the_same_readings_give_the_same_list_in_any_order(case):
    findings = engine.check_circuit(case(zs="9.00", ir_live_live="0.19"))
    assert worst_first(reversed(findings)) == findings


def test_a_board_and_a_visit():
    board = BoardFacts(ir_live_earth=Reading.parse("0.40"))
    codes = {finding.code for finding in engine.check_board(board, board_of(6, BS7671), BS7671)}
    assert codes == {Code.BOARD_INSULATION_LOW, Code.BOARD_INSULATION_BELOW_CIRCUITS}
    supply = SupplyFacts(
        Earthing.TN_S, u0_v=Decimal(230), ze_ohm=Reading.parse("0.20"), ipf_ka=Reading.parse("0.50")
    )
    tester = InstrumentFacts("Loop tester 2", date(2026, 1, 31))
    findings = engine.check_inspection(supply, [tester], date(2026, 11, 3), BS7671)
    assert [finding.code for finding in findings] == [
        Code.FAULT_CURRENT_BELOW_EARTH_FAULT,
        Code.OUT_OF_CALIBRATION,
    ]


def test_an_observation_is_filled_in_and_not_coded(case):
    finding = engine.check_circuit(case(zs="9.00", r1_r2="8.79"))[0]
    assert suggested_observation(finding, "DB1, circuit 3") == (
        "DB1, circuit 3: Earth fault loop impedance 9.00 Ω is above the maximum of 7.28 Ω for the protective "
        "device; a fault may not be disconnected in time. (BS 7671:2018+A2:2022, Table 41.3)"
    )
    assert (
        suggested_observation(Finding(Code.MISSING_READING, "zs", Severity.INCOMPLETE, "Zs is missing."))
        == ""
    )


def test_a_value_from_memory_is_said_to_be_one():
    finding = Finding(Code.RCD_SLOW, None, Severity.NOTE, "", rule="", source="BS 4293", from_memory=True)
    assert finding.reference == "BS 4293 (value from memory)"


def test_the_board_for_timing_has_findings_of_every_seventh_circuit():
    low = [case.circuit.designation for case in board_of(60, BS7671) if Code.INSULATION_LOW in
           {finding.code for finding in engine.check_circuit(case)}]  # fmt: skip
    assert low == [str(way) for way in range(1, 61, 7)]
