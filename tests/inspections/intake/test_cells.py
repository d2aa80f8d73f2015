"""Single cells, circuit numbers, board lines and number formats."""

import pytest

from inspections.intake.boards import read_board_line
from inspections.intake.cells import read_cell
from inspections.intake.circuits import split_circuit
from inspections.intake.grid import Raw, covered_cells
from inspections.intake.loads import load_values
from inspections.intake.numbers import shown
from inspections.intake.tables import SCHEDULE_TABLE


def taken(name: str, text: str):
    return read_cell(SCHEDULE_TABLE.field(name), Raw(text))


@pytest.mark.parametrize(
    ("name", "written", "kept"),
    [
        ("ir_live_live", "> 200", ">200"),
        ("ir_live_live", "＞200", ">200"),
        ("ir_live_live", "LIM", "LIM"),
        ("ir_live_live", "Lim.", "LIM"),
        ("zs", "limitation", "LIM"),
        ("zs", "n/a", "N/A"),
        ("zs", "N.A.", "N/A"),
        ("zs", "n/v", "N/V"),
        ("zs", "–", "N/A"),
        ("zs", "0.50", "0.50"),
        ("polarity", "OK", "✓"),
        ("polarity", "√", "✓"),
        ("polarity", "yes", "✓"),
        ("polarity", "P", "✓"),
        ("polarity", "ü", "✓"),
        ("polarity", "x", "✗"),
        ("polarity", "×", "✗"),
        ("polarity", "fail", "✗"),
        ("polarity", "-", "N/A"),
        ("rcd_button", "lim", "LIM"),
        ("points", "14", "14"),
        ("points", "14.0", "14"),
        ("ir_voltage_v", "500 V", "500"),
        ("device_rating_a", "32A", "32"),
        ("live_csa_mm2", "2.5 mm²", "2.5"),
        ("breaking_capacity_ka", "6000 A", "6.000"),
        ("rcd_residual_ma", "-", "N/A"),
        ("rcd_residual_ma", "0.03 A", "30"),
        ("device_standard", "60898", "BS EN 60898"),
        ("device_standard", "bs en 61009-1", "BS EN 61009-1"),
        ("device_standard", "BS60898", "BS EN 60898"),
        ("device_standard", "3036", "BS 3036"),
        ("device_standard", "88-3", "BS 88-3"),
        ("device_standard", "see label", "see label"),
        ("device_standard", "-", "N/A"),
        ("device_type", "b", "B"),
        ("device_type", "gG", "gG"),
        ("rcd_type", "Type ac", "AC"),
        ("description", "Lights\n  hall", "Lights\nhall"),
        ("remarks", "-", ""),
        ("zs", "…", ""),
    ],
)
def test_what_is_written_is_kept_in_the_notation(name, written, kept):
    result = taken(name, written)
    assert (result.text, result.problem) == (kept, None)


@pytest.mark.parametrize(
    ("name", "written", "advice"),
    [
        ("zs", "0,35", "Type a point: 0.35"),
        ("zs", "0.35 Ω", "in Ω: 0.35"),
        ("ir_live_live", ">500 kΩ", "in MΩ: >0.500"),
        ("zs", "0.35 ms", "Type the number in the unit of the column, Ω"),
        ("zs", "OK", "Type a number such as"),
        ("zs", "-0.3", "zero or more"),
        ("ir_live_live", "∞", "type > and the top"),
        ("ir_live_live", "200+", "type >200"),
        ("ir_live_live", ">=200", "type >200"),
        ("polarity", "12", "Type ✓ or ✗"),
        ("points", "2.5", "whole number"),
        ("points", "many", "Type one number"),
        ("device_rating_a", "B32", "such as 32"),
        ("live_csa_mm2", "2,5", "Type a point: 2.5"),
        ("live_csa_mm2", "2.5/1.5", "Type one number"),
        ("live_csa_mm2", "2.5²", "Type one number"),
        ("device_rating_a", "32 V", "Type that alone"),
    ],
)
def test_what_cannot_be_read_is_told_with_what_to_type(name, written, advice):
    result = taken(name, written)
    assert result.text == ""
    assert advice.casefold() in result.problem.casefold()


@pytest.mark.parametrize(
    ("written", "way", "phase"),
    [
        ("1", "1", ""),
        ("01", "1", ""),
        ("1 L1", "1", "L1"),
        ("1L1", "1", "L1"),
        ("2/L3", "2", "L3"),
        ("12-l2", "12", "L2"),
        ("L2/12", "12", "L2"),
        ("3 TP", "3", "L123"),
        ("3 TP&N", "3", "L123"),
        ("TPN 3", "3", "L123"),
        ("3 (L1 L2 L3)", "3", "L123"),
        ("3 L1-L3", "3", "L123"),
        ("3 3ph", "3", "L123"),
        ("Cct 7", "7", ""),
        ("4R", "4R", ""),
        ("13", "13", ""),
        ("L1", "L1", ""),
        ("A2", "A2", ""),
    ],
)
def test_circuit_numbers(written, way, phase):
    assert split_circuit(written) == (way, phase)


@pytest.mark.parametrize(
    ("cells", "designation", "name", "facts"),
    [
        (
            ["Board: DB1 Main intake   Ze 0.21 ohm   date 03/11/2026"],
            "DB1",
            "Main intake",
            {"ze_ohm": "0.21", "date": "2026-11-03"},
        ),
        (["Distribution board: DB 2 - Workshop"], "DB 2", "Workshop", {}),
        (
            ["DB Ref:", "DB3", "Location:", "Plant room", "Zs at DB:", "0.24 Ω", "Ipf:", "950 A"],
            "DB3",
            "Plant room",
            {"zs_ohm": "0.24", "ipf_ka": "0.950"},
        ),
        (["Consumer unit: Kitchen"], "Kitchen", "", {}),
        (["DB7 Annexe"], "DB7", "Annexe", {}),
        (["Board", "DB1", "Zs (Ω)", "0.24"], "DB1", "", {"zs_ohm": "0.24"}),
        (["Ze: LIM"], "", "", {"ze_ohm": "LIM"}),
    ],
)
def test_board_lines(cells, designation, name, facts):
    line = read_board_line(cells)
    assert (line.designation, line.name, line.facts, line.problems) == (designation, name, facts, ())


@pytest.mark.parametrize(
    "words",
    [
        "Schedule of test results - Larkfield Mill",
        "Board not accessible on the day",
        "Client: Larkfield Trust",
        "",
    ],
)
def test_other_lines_are_of_no_board(words):
    assert read_board_line([words]) is None


@pytest.mark.parametrize(
    ("value", "number_format", "text"),
    [
        (0.5, "0.00", "0.50"),
        (0.5, "General", "0.5"),
        (32, "General", "32"),
        (0.30000000000000004, "General", "0.3"),
        (1e-05, "General", "0.00001"),
        (200, '">"0', ">200"),
        (1.0, "0.0", "1.0"),
        (0.456, "0.00", "0.456"),
        (1 / 3, "0.00", "0.33"),
        (1234.5, "#,##0.00", "1234.50"),
        (0.31, '0.00" Ω"', "0.31"),
    ],
)
def test_the_figure_of_a_number_cell(value, number_format, text):
    assert shown(value, number_format)[0] == text


def test_a_figure_that_its_format_hides_is_noted():
    assert "shows 0.46 and holds 0.456" in shown(0.456, "0.00")[1]
    assert "number in it is 250" in shown(250, '[>200]">200";0')[1]


@pytest.mark.parametrize("words", ["", "as found", "0.1 µF 0.2 µF", "275"])
def test_values_that_are_not_understood_are_left_in_words(words):
    assert load_values(words) == {}


def test_merged_ranges_beyond_the_filled_cells_cost_nothing():
    whole_sheet = (1, 1, 16384, 1048576)
    assert covered_cells([whole_sheet], 2, 2) == {(1, 2): (1, 1), (2, 1): (1, 1), (2, 2): (1, 1)}
    assert covered_cells([whole_sheet] * 1000, 20_000, 256) == {}
