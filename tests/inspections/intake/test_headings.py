"""Which column a heading means. The headings are those the trade writes: common practice, no source.

That case tells r1, rn, r2 (ring) from R1, R2 (line and protective conductor) is the notation of BS 7671
Appendix 6, value from memory.
"""

import pytest

from inspections.columns import BY_NAME
from inspections.intake.grid import Raw, Sheet
from inspections.intake.heading_words import columns_of_test, is_heading_word
from inspections.intake.headings import find_blocks
from inspections.intake.read import read_file
from tests.inspections.intake import samples


def names(*heading_rows: list, merged: list[str] | None = None) -> list[str | None]:
    """What the headings are taken for, a circuit number and description put before them."""
    first = ["No.", "Description"]
    rows = [[*([None, None] if row is not heading_rows[-1] else first), *row] for row in heading_rows]
    data = samples.workbook({"DB1": [*rows, ["1", "Lights"]]}, {"DB1": merged or []})
    return [heading.name for heading in read_file("x.xlsx", data).headings][2:]


@pytest.mark.parametrize(("column", "spelling"), [(c, s) for c in BY_NAME.values() for s in c.spellings])
def test_each_spelling_is_known_as_a_heading(column, spelling):
    assert is_heading_word(spelling)
    assert is_heading_word(spelling.upper())


def test_case_tells_the_ring_from_the_protective_conductor():
    assert names(["r1 (Ω)", "rn (Ω)", "r2 (Ω)", "R1 + R2 (Ω)", "R2 (Ω)"]) == [
        "r1",
        "rn",
        "r2",
        "r1_r2",
        "r2_only",
    ]
    assert names(["R2", "r2"]) == ["r2_only", "r2"]


def test_the_group_tells_where_case_does_not():
    ring = [["Ring final circuit", None, None, "Continuity", None], ["R1", "RN", "R2", "R1+R2", "R2"]]
    assert names(*ring, merged=["C1:E1", "F1:G1"]) == ["r1", "rn", "r2", "r1_r2", "r2_only"]
    assert names(["Continuity", None], ["r1+r2", "r2"], merged=["C1:D1"]) == ["r1_r2", "r2_only"]


def test_capitals_throughout_are_read_by_their_neighbours():
    assert names(["R1", "RN", "R2", "R1+R2"]) == ["r1", "rn", "r2", "r1_r2"]


def test_a_group_reaches_over_blank_cells_in_a_file_that_keeps_no_merged_cells():
    groups = ["Protective device", None, None, "RCD", None, None, None]
    labels = ["BS EN", "Type", "Rating (A)", "BS EN", "Type", "IΔn (mA)", "Rating (A)"]
    wanted = ["device_standard", "device_type", "device_rating_a"]
    wanted += ["rcd_standard", "rcd_type", "rcd_residual_ma", "rcd_rating_a"]
    assert names(groups, labels) == wanted


def test_groups_decide_whatever_their_order():
    groups = ["RCD", None, None, "Protective device", None, None]
    labels = ["Rating (A)", "Type", "Time (ms)", "Type", "Rating (A)", "Max Zs"]
    merged = ["C1:E1", "F1:H1"]
    wanted = ["rcd_rating_a", "rcd_type", "rcd_trip_ms", "device_type", "device_rating_a", "max_zs_ohm"]
    assert names(groups, labels, merged=merged) == wanted


def test_a_general_word_under_a_strange_group_is_not_guessed():
    assert names(["Lamp", None], ["Type", "Time (ms)"], merged=["C1:D1"]) == [None, None]


@pytest.mark.parametrize(
    ("heading", "name"),
    [
        ("Zs", "zs"),
        ("ZS (OHMS)", "zs"),
        ("Measured Zs\n(Ω)", "zs"),
        ("Zs (measured)", "zs"),
        ("Zs (max)", "max_zs_ohm"),
        ("Max. permitted Zs Ω", "max_zs_ohm"),
        ("I∆n mA", "rcd_residual_ma"),
        ("In (A)", "device_rating_a"),
        ("In (mA)", "rcd_residual_ma"),
        ("(R1 + R2) Ω*", "r1_r2"),
        ("R₁+R₂", "r1_r2"),
        ("Ref. Method", "reference_method"),
        ("No. of points served", "points"),
        ("L/E MΩ", "ir_live_earth"),
        ("live – earth (Mohm)", "ir_live_earth"),
        ("Test voltage (V)", "ir_voltage_v"),
        ("RCD trip time in ms", "rcd_trip_ms"),
        ("Comments:", "remarks"),
        ("cpc csa (mm2)", "cpc_csa_mm2"),
    ],
)
def test_common_spellings(heading, name):
    assert names([heading]) == [name]


def test_a_limit_is_not_taken_for_a_reading():
    assert names(["Zs (maximum calculated)"]) == [None]


def test_insulation_without_its_conductors_is_not_guessed():
    assert names(["Insulation resistance (MΩ)"]) == [None]


def test_number_and_circuit_side_by_side():
    data = samples.workbook({"DB1": [["No.", "Circuit", "Zs"], ["1", "Lights", "0.8"]]})
    assert [heading.name for heading in read_file("x.xlsx", data).headings] == [
        "designation",
        "description",
        "zs",
    ]


def test_headings_merged_down_two_rows_and_a_row_of_units():
    rows = [
        ["No.", "Description", "Insulation resistance", None, "Zs", "Polarity"],
        [None, None, "Live-live", "Live-earth", None, None],
        [None, None, "(MΩ)", "(kΩ)", "(Ω)", None],
        ["1", "Lights", ">200", "500", "0.8", "✓"],
    ]
    data = samples.workbook({"DB1": rows}, {"DB1": ["A1:A2", "B1:B2", "C1:D1", "E1:E2", "F1:F2"]})
    file = read_file("x.xlsx", data)
    cells = {name: cell.text for name, cell in file.rows[0].cells.items()}
    assert cells == {
        "designation": "1",
        "description": "Lights",
        "ir_live_live": ">200",
        "ir_live_earth": "0.500",
        "zs": "0.8",
        "polarity": "✓",
    }
    assert len(file.rows) == 1


def test_a_sheet_without_headings_has_no_block():
    assert find_blocks(Sheet("DB1", {1: {1: Raw("Lights"), 2: Raw("Zs")}}), {}) == []


@pytest.mark.parametrize(
    ("written", "wanted"),
    [
        ("Live-live", ["ir_live_live"]),
        ("insulation resistance", ["ir_live_live", "ir_live_earth"]),
        ("r2", ["r2"]),
        ("R2", ["r2_only"]),
        ("RCD", ["rcd_trip_ms", "rcd_button"]),
        ("paint", []),
    ],
)
def test_tests_by_name(written, wanted):
    assert columns_of_test(written) == wanted
