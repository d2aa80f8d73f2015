"""Whole files: what comes in, what is said of what does not, and that nothing is dropped unseen.

What a right answer is follows from the file itself and the notation of the project, not from our own output.
"""

import json
from datetime import date
from itertools import pairwise

import openpyxl
import pytest

from inspections.columns import DETAILS, RESULTS
from inspections.intake.read import read_file
from inspections.intake.result import IntakeError, IntakeFile, Mapping
from tests.inspections.intake import samples

SIMPLE = ["No.", "Description", "Zs (Ω)", "Live-live (MΩ)"]


def read_rows(
    *rows: list, name: str = "DB1.xlsx", sheet: str = "DB1", mapping: Mapping | None = None
) -> IntakeFile:
    return read_file(name, samples.workbook({sheet: list(rows)}), mapping)


def texts(file: IntakeFile, name: str) -> list[str | None]:
    return [row.cells[name].text if name in row.cells else None for row in file.rows]


@pytest.fixture(scope="module")
def larkfield() -> IntakeFile:
    return read_file("larkfield.xlsx", samples.larkfield_schedule())


def test_a_schedule_from_outside_comes_in_whole_with_no_hand_mapping(larkfield):
    assert [(board.designation, board.name, board.facts) for board in larkfield.boards] == [
        ("DB1", "Warehouse", {"ze_ohm": "0.21", "date": "2026-11-03"}),
        ("DB2", "Press shop", {"ze_ohm": "0.21", "date": "2026-11-03"}),
    ]
    assert [(row.board, row.way, row.phase) for row in larkfield.rows] == [
        *[(0, way, "") for way in "12345"],
        *[(1, "1", phase) for phase in ("L1", "L2", "L3")],
        (1, "2", "L1"),
        (1, "2", "L2"),
    ]
    assert larkfield.problems == ()
    assert all(heading.name for heading in larkfield.headings)


def test_groups_decide_what_ambiguous_headings_mean(larkfield):
    names = {h.column: h.name for h in larkfield.headings if h.sheet == "DB1 Warehouse"}
    assert names == {
        "A": "designation",
        "B": "description",
        "C": "points",
        "D": "live_csa_mm2",
        "E": "cpc_csa_mm2",
        "F": "device_standard",
        "G": "device_type",
        "H": "device_rating_a",
        "I": "rcd_residual_ma",
        "J": "r1_r2",
        "K": "ir_live_live",
        "L": "ir_live_earth",
        "M": "polarity",
        "N": "rcd_trip_ms",
    }


def test_cells_come_in_the_notation_of_the_record(larkfield):
    ring, lighting, alarm = (larkfield.rows[index].cells for index in (1, 2, 4))
    assert {name: cell.text for name, cell in ring.items()} == {
        "designation": "2",
        "description": "Ring sockets office",
        "points": "11",
        "live_csa_mm2": "2.5",
        "cpc_csa_mm2": "1.5",
        "device_standard": "BS EN 61009",
        "device_type": "B",
        "device_rating_a": "32",
        "rcd_residual_ma": "30",
        "r1_r2": "0.51",
        "ir_live_live": "0.24",
        "ir_live_earth": ">200",
        "polarity": "✓",
        "rcd_trip_ms": "27",
    }
    assert (lighting["ir_live_live"].text, lighting["ir_live_live"].found) == ("LIM", "Lim.")
    assert (lighting["ir_live_earth"].text, lighting["ir_live_earth"].found) == (">200", "> 200")
    assert alarm["polarity"].text == "✗"
    heater = larkfield.rows[0].cells
    assert (heater["rcd_residual_ma"].text, heater["rcd_residual_ma"].note) == (
        "N/A",
        "A dash is read as N/A, not applicable.",
    )


def test_titles_totals_and_remarks_are_kept_as_notes(larkfield):
    notes = [(n.kind, n.row, n.text, n.limitation) for n in larkfield.notes if n.sheet == "DB1 Warehouse"]
    assert notes == [
        ("title", 1, "Schedule of test results - Larkfield Mill", False),
        ("count", 12, "Circuits: 5 (5 were read.)", False),
        ("remark", 13, samples.REMARK, True),
    ]


def test_a_total_that_differs_from_what_was_read_says_so():
    file = read_rows(SIMPLE, ["1", "Lights", "0.8", ">200"], ["Circuits: 3"])
    assert file.notes[-1].text == "Circuits: 3 (But 1 were read: look for a row too many or left out.)"


def test_every_mistake_is_told_at_its_cell_and_the_rest_of_its_row_is_kept():
    file = read_file("mistakes.xlsx", samples.larkfield_with_mistakes())
    told = {problem.where: problem.text for problem in file.problems}
    assert set(told) == {
        f"DB1 Warehouse!{cell}" for cell in ("J6", "K7", "L8", "A9", "A10", "M10", "H11", "J11")
    }
    assert "Type a point: 0.28" in told["DB1 Warehouse!J6"]
    assert told["DB1 Warehouse!K7"].endswith("in MΩ: 0.240")
    assert "first in row 8" in told["DB1 Warehouse!A9"]
    assert "no circuit number" in told["DB1 Warehouse!A10"]
    assert "such as 16" in told["DB1 Warehouse!H11"]
    assert "formula whose result was never stored" in told["DB1 Warehouse!J11"]
    assert len(file.rows) == 6
    assert file.rows[0].cells["ir_live_live"].text == ">200"
    assert file.rows[0].cells["r1_r2"].text == ""
    assert file.rows[0].cells["r1_r2"].found == "0,28"


@pytest.mark.parametrize("kept", samples.KEPT)
def test_the_kept_samples_are_what_their_script_makes(kept):
    kept_file = read_file(kept, (samples.FIXTURES / kept).read_bytes())
    assert kept_file == read_file(kept, samples.KEPT[kept]())
    assert len(kept_file.rows) >= 5


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_text_file_reads_as_the_workbook_does(encoding, separator):
    rows = samples.schedule_rows("DB1 Warehouse", samples.WAREHOUSE)
    from_text = read_file("kept.csv", samples.text_file(rows, separator, encoding))
    from_workbook = read_file("kept.xlsx", samples.workbook({"kept": rows}))
    as_text = [{name: cell.text for name, cell in row.cells.items()} for row in from_text.rows]
    assert as_text == [{name: cell.text for name, cell in row.cells.items()} for row in from_workbook.rows]
    assert len(as_text) == 5
    assert from_text.boards[0].facts == {"ze_ohm": "0.21", "date": "2026-11-03"}


def test_windows_text_with_its_ohm_signs_lost_is_still_read():
    file = read_file("larkfield.csv", samples.larkfield_text())
    assert [heading.found for heading in file.headings if heading.name is None] == []
    assert texts(file, "ir_live_live") == [">200", "0.24", "LIM", None, "LIM"]
    assert file.notes[0].kind == "file"
    assert "cp1252" in file.notes[0].text


def test_windows_text_keeps_its_own_letters():
    data = samples.text_file([SIMPLE[:3], ["1", "Café lights – bar", "0.8"]], ",", "utf-8")
    data = data.decode().replace("Ω", "ohm").encode("cp1252")
    assert texts(read_file("x.csv", data), "description") == ["Café lights – bar"]


def test_the_separator_a_first_line_names_is_used_and_rows_keep_their_numbers():
    file = read_file("x.csv", b"sep=|\nNo.|Description|Zs\n1|Lights|0.80\n")
    assert [(row.number, row.cells["zs"].text) for row in file.rows] == [(3, "0.80")]


def test_an_apostrophe_that_guarded_a_text_file_is_taken_off():
    file = read_file("x.csv", b"No.,Description,IdN (mA),Zs\n1,'=Lights,'-,0.80\n")
    assert texts(file, "description") == ["=Lights"]
    assert texts(file, "rcd_residual_ma") == ["N/A"]


def test_number_cells_keep_the_decimals_their_format_shows():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["No.", "Description", "Zs (Ω)", "R1+R2 (Ω)", "Live-live (MΩ)", "Points"])
    sheet.append([1, "Lights", 0.5, 0.1 + 0.2, 200, 9])
    sheet["C2"].number_format = "0.00"
    sheet["E2"].number_format = '">"0'
    cells = read_file("x.xlsx", samples.saved(book)).rows[0].cells
    assert {name: cell.text for name, cell in cells.items()} == {
        "designation": "1",
        "description": "Lights",
        "zs": "0.50",
        "r1_r2": "0.3",
        "ir_live_live": ">200",
        "points": "9",
    }


def test_a_number_turned_into_a_date_by_the_spreadsheet_is_told():
    file = read_rows(SIMPLE, [date(2026, 2, 1), "Lights", "0.8", ">200"])
    assert [problem.where for problem in file.problems] == ["DB1!A2"]
    assert "turned what was typed into a date" in file.problems[0].text


def test_a_spreadsheet_error_is_told():
    file = read_rows(SIMPLE, ["1", "Lights", "#REF!", ">200"])
    assert file.problems[0].where == "DB1!C2"
    assert "#REF!" in file.problems[0].text


@pytest.mark.parametrize(
    ("heading", "name", "written", "wanted"),
    [
        ("R1+R2 (mΩ)", "r1_r2", "350", "0.350"),
        ("Live-live (kΩ)", "ir_live_live", ">500", ">0.500"),
        ("Live-live MΩ", "ir_live_live", "0.19", "0.19"),
        ("Zs [ohms]", "zs", "0.80", "0.80"),
        ("RCD time (s)", "rcd_trip_ms", "0.028", "28"),
        ("IΔn (A)", "rcd_residual_ma", "0.03", "30"),
        ("Breaking capacity (A)", "breaking_capacity_ka", "6000", "6.000"),
    ],
)
def test_a_heading_in_another_multiple_is_converted_exactly_and_said(heading, name, written, wanted):
    file = read_rows(["No.", "Description", heading], ["1", "Lights", written])
    cell = file.rows[0].cells[name]
    assert cell.text == wanted
    if written != wanted:
        assert wanted.lstrip(">") in cell.note
        assert "converted" in file.headings[2].why


def test_thousandths_of_an_ohm_for_insulation_are_not_believed():
    rows = (["No.", "Description", "Live-live (mΩ)"], ["1", "Lights", "200"])
    file = read_rows(*rows)
    assert file.headings[2].name is None
    assert [problem.where for problem in file.problems] == ["DB1!C1"]
    chosen = read_rows(*rows, mapping=Mapping({("DB1", "C"): "ir_live_live"}))
    assert texts(chosen, "ir_live_live") == ["200"]
    assert chosen.problems == ()


def test_a_unit_of_another_kind_rules_the_column_out():
    file = read_rows(["No.", "Description", "Zs (A)"], ["1", "Lights", "3"])
    assert file.headings[2].name is None
    assert file.problems[0].where == "DB1!C1"


def test_a_column_that_is_not_read_is_listed_with_its_reason():
    file = read_rows([*SIMPLE, "Length (m)"], ["1", "Lights", "0.8", ">200", "12", "34"])
    left_out = {heading.column: heading.why for heading in file.headings if heading.name is None}
    assert set(left_out) == {"E", "F"}
    assert "no heading above it" in left_out["F"]


def test_the_person_may_choose_another_column_or_leave_one_out():
    mapping = Mapping({("DB1", "e"): "zs", ("DB1", "D"): "ignore"})
    file = read_rows(
        [*SIMPLE, "Loop"],
        ["1", "Lights", "0.8", ">200", "0.91"],
        mapping=Mapping.from_dict(mapping.to_dict()),
    )
    assert texts(file, "zs") == ["0.91"]
    assert texts(file, "ir_live_live") == [None]
    assert {h.column: h.name for h in file.headings} == {
        "A": "designation",
        "B": "description",
        "C": None,
        "D": None,
        "E": "zs",
    }


def test_a_choice_of_no_column_is_refused():
    with pytest.raises(IntakeError, match="cannot be read as “colour”"):
        read_rows(SIMPLE, mapping=Mapping({("DB1", "A"): "colour"}))


def test_two_headings_of_one_column_ask_the_person():
    file = read_rows([*SIMPLE, "Measured Zs"], ["1", "Lights", "0.8", ">200", "0.9"])
    assert texts(file, "zs") == ["0.8"]
    assert file.problems[0].where == "DB1!E1"


def test_several_boards_on_one_sheet():
    file = read_rows(
        ["Distribution board: DB1", None, "Location: Main intake"],
        SIMPLE,
        ["1", "Lights", "0.8", ">200"],
        [],
        ["Board", "DB2", "Ze", "0.35 Ω", "Date of inspection", date(2026, 11, 4)],
        SIMPLE,
        ["1", "Sockets", "0.7", ">200"],
        ["Board: DB3 Loft"],
        ["1", "Heater", "0.6", ">200"],
        sheet="All boards",
    )
    assert [(b.designation, b.name, b.facts) for b in file.boards] == [
        ("DB1", "Main intake", {}),
        ("DB2", "", {"ze_ohm": "0.35", "date": "2026-11-04"}),
        ("DB3", "Loft", {}),
    ]
    assert [(row.board, row.cells["description"].text) for row in file.rows] == [
        (0, "Lights"),
        (1, "Sockets"),
        (2, "Heater"),
    ]
    assert file.problems == ()


def test_facts_one_to_a_row_and_headings_under_groups_that_are_not_merged():
    """The layout of our own workbook: label, blank, value; and a group named over its first column only."""
    columns = DETAILS + RESULTS
    groups = [columns[0].group, *(None if a.group == b.group else b.group for a, b in pairwise(columns))]
    facts = [["Location:", None, "Main intake"], ["Board:", None, "DB1"], ["Zs:", None, "0.24 Ω"]]
    row = ["1 L1", "Lights", *[None] * (len(columns) - 2)]
    file = read_rows(["Test results"], *facts, [], groups, [c.title for c in columns], row, [], ["Key below"])
    assert [(b.designation, b.name, b.facts) for b in file.boards] == [
        ("DB1", "Main intake", {"zs_ohm": "0.24"})
    ]
    assert [heading.name for heading in file.headings] == [column.name for column in columns]
    assert [(row.board, row.way, row.phase) for row in file.rows] == [(0, "1", "L1")]


def test_two_values_of_a_board_fact_are_told():
    file = read_rows(["Board: DB1  Ze 0.21"], SIMPLE, ["1", "Lights", "0.8", ">200"], ["Board: DB1  Ze 0.35"])
    assert file.boards[0].facts == {"ze_ohm": "0.21"}
    assert "0.21 before and 0.35 here" in file.problems[0].text


def test_a_board_column_decides_for_its_row():
    file = read_rows(
        ["Board", *SIMPLE], ["DB1", 1, "Lights", "0.8", ""], ["DB2", 1, "Bar", "0.9", ""], sheet="S"
    )
    assert [(file.boards[row.board].designation, row.way) for row in file.rows] == [
        ("DB1", "1"),
        ("DB2", "1"),
    ]
    assert file.problems == ()


def test_a_sheet_names_its_board_where_no_line_does_and_else_the_person_is_asked():
    named = read_rows(SIMPLE, ["1", "Lights", "0.8", ">200"], sheet="DB4 Attic")
    assert [(b.designation, b.name) for b in named.boards] == [("DB4", "Attic")]
    unnamed = read_rows(SIMPLE, ["1", "Lights", "0.8", ">200"], sheet="Sheet1")
    assert [b.designation for b in unnamed.boards] == [""]
    assert "does not say which board" in unnamed.notes[-1].text


def test_a_board_fact_that_cannot_be_read_is_told():
    file = read_rows(["Board: DB1   Ze good   date someday"], SIMPLE, ["1", "Lights", "0.8", ">200"])
    assert len(file.other_problems) == 2
    assert file.boards[0].facts == {}


def test_phases_in_a_column_of_their_own():
    header = ["Way", "Phase", "Description", "Zs"]
    file = read_rows(
        header, ["1", "L1", "Lathe", "0.5"], [None, "L2", "Lathe", "0.5"], ["2", "Y", "Fan", "0.6"]
    )
    assert [(row.way, row.phase) for row in file.rows] == [("1", "L1"), ("1", "L2"), ("2", "L2")]
    assert file.problems == ()
    assert "Y" in file.rows[2].cells["phase"].note
    wrong = read_rows(header, ["1", "green", "Lathe", "0.5"], ["2 L1", "L3", "Fan", "0.6"])
    assert [problem.where for problem in wrong.problems] == ["DB1!B2", "DB1!B3"]


def test_former_colours_are_phases_only_where_the_board_shows_it():
    coloured = read_rows(SIMPLE, *[[f"1{c}", "Lathe", "0.5", ">200"] for c in "RYB"])
    assert [(row.way, row.phase) for row in coloured.rows] == [("1", "L1"), ("1", "L2"), ("1", "L3")]
    assert "former colour" in coloured.rows[0].cells["designation"].note
    lettered = read_rows(SIMPLE, *[[f"1{c}", "Lathe", "0.5", ">200"] for c in "ABR"])
    assert [(row.way, row.phase) for row in lettered.rows] == [("1A", ""), ("1B", ""), ("1R", "")]


def test_merged_cells_hold_for_their_rows_and_a_merged_word_for_its_tests():
    header = ["No.", "Description", "Live-live (MΩ)", "Live-earth (MΩ)", "Zs"]
    rows = [header, ["1 L1", "Lathe", ">200", ">200", "0.5"], ["1 L2", None, None, "180", "0.5"]]
    rows += [["2", "Lights", "LIM", None, "0.7"]]
    data = samples.workbook({"DB1": rows}, {"DB1": ["B2:B3", "C2:C3", "C4:D4"]})
    file = read_file("x.xlsx", data)
    assert texts(file, "description") == ["Lathe", "Lathe", "Lights"]
    assert texts(file, "ir_live_live") == [">200", ">200", "LIM"]
    assert texts(file, "ir_live_earth") == [">200", "180", "LIM"]
    assert file.rows[1].cells["description"].note == "From the merged cell B2."


def test_one_circuit_on_two_sheets_may_add_but_not_contradict():
    details = [
        ["Board: DB1"],
        ["No.", "Description", "Rating (A)"],
        ["1", "Lights", "6"],
        ["2", "Oven", "32"],
    ]
    results = [["Board: DB1"], ["No.", "Description", "Zs"], ["1", "Lights", "0.8"], ["2", "Cooker", "0.4"]]
    file = read_file("x.xlsx", samples.workbook({"Details": details, "Results": results}))
    assert [problem.where for problem in file.problems] == ["Results!A4"]
    assert "another Description: Oven there and Cooker here" in file.problems[0].text


def test_not_entered_yet_is_blank():
    file = read_rows(SIMPLE, ["1", "Lights", "…", ">200"])
    assert texts(file, "zs") == [None]
    assert file.problems == ()


def test_keys_and_signatures_below_the_circuits_are_remarks():
    file = read_rows(
        SIMPLE,
        ["1", "Lights", "0.8", ">200"],
        [],
        ["A", "Thermoplastic cables in conduit"],
        ["Tested by:", "A. Inspector", "Date:", "03/11/2026"],
        ["Notes:", "Loft hatch locked, no access"],
    )
    assert len(file.rows) == 1
    assert [(note.kind, note.limitation) for note in file.notes] == [
        ("remark", False),
        ("remark", False),
        ("remark", True),
    ]


def test_a_sheet_of_other_things_is_left_alone_and_named():
    data = samples.workbook(
        {"Cover": [["Report for Larkfield Mill"]], "DB1": [SIMPLE, ["1", "Lights", "0.8", ""]]}
    )
    file = read_file("x.xlsx", data)
    assert [(note.kind, note.sheet) for note in file.notes] == [("file", "Cover")]
    assert len(file.rows) == 1


def test_a_hidden_sheet_is_not_read_and_named():
    book = openpyxl.Workbook()
    book.active.append(SIMPLE)
    book.active.append(["1", "Lights", "0.8", ">200"])
    hidden = book.create_sheet("Old")
    hidden.append(SIMPLE)
    hidden.append(["9", "Old lights", "0.8", ">200"])
    hidden.sheet_state = "hidden"
    file = read_file("x.xlsx", samples.saved(book))
    assert [row.way for row in file.rows] == ["1"]
    assert file.notes[0].text == "The sheet “Old” is hidden and was not read."


def test_a_preview_survives_being_kept_as_json(larkfield):
    for file in (larkfield, read_file("m.xlsx", samples.larkfield_with_mistakes())):
        assert IntakeFile.from_dict(json.loads(json.dumps(file.to_dict()))) == file
