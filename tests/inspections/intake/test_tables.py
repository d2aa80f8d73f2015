"""Limitations and parallel loads on sheets of their own. The words are those of the program's own record."""

import pytest

from inspections.columns import READINGS, TESTS
from inspections.intake.cells import read_cell
from inspections.intake.grid import Raw
from inspections.intake.read import read_file
from inspections.intake.result import LIMITATIONS, LOADS
from inspections.intake.tables import LIMITATIONS_TABLE, LOADS_TABLE
from inspections.models import Limitation
from remedies.enums import CapacitorClass, Connection, LoadKind, LoadState, Origin
from remedies.models import ParallelLoad
from tests.inspections.intake import samples

LIMITATION_ROWS = [
    ["Board: DB1"],
    ["Circuits", "Tests", "Kind", "Reason", "Agreed with", "Agreed on"],
    ["3, 5", "Live-live, Zs", "Agreed", "Luminaires not taken down", "The tenant", "3 Nov 2026"],
    ["all", "insulation resistance", "operational", "Server room in use", "-", None],
    ["7", "paint", "perhaps", "Locked", None, "next week"],
]
LOAD_ROWS = [
    [
        "Board",
        "Circuit",
        "Kind",
        "How many",
        "Value",
        "Connection",
        "Place",
        "Access",
        "Hidden",
        "Why",
        "Found on",
    ],
    [
        "DB1",
        "3",
        "Suppression capacitor",
        2,
        "0.1 µF X2 275 V",
        "Switched line to neutral",
        "Office rose",
        "Steps",
    ],
    [
        "DB1",
        "4 L1",
        "load module",
        1,
        "as found",
        "L-N",
        "Void over bar",
        "Hatch",
        "hidden",
        "Glow",
        "03/11/2026",
    ],
    ["DB1", "5", "Resistor", 1, "2 × 470 kΩ 2 W", "L/N", "Fan isolator", None, "no", None, None],
]


def test_limitations_come_in_with_tests_named_by_column():
    file = read_file("x.xlsx", samples.workbook({"Limitations": LIMITATION_ROWS}))
    rows = file.of(LIMITATIONS)
    assert [{name: cell.text for name, cell in row.cells.items()} for row in rows[:2]] == [
        {
            "circuits": "3, 5",
            "tests": "ir_live_live, zs",
            "kind": "agreed",
            "reason": "Luminaires not taken down",
            "agreed_with": "The tenant",
            "agreed_on": "2026-11-03",
        },
        {
            "circuits": "all",
            "tests": "ir_live_live, ir_live_earth",
            "kind": "operational",
            "reason": "Server room in use",
            "agreed_with": "",
        },
    ]
    assert [problem.where for problem in file.problems] == [f"Limitations!{cell}5" for cell in "BCF"]
    assert rows[2].cells["reason"].text == "Locked"
    assert all(file.boards[row.board].designation == "DB1" for row in rows)


def test_loads_come_in_with_their_values_in_columns():
    file = read_file("x.xlsx", samples.workbook({"Parallel loads": LOAD_ROWS}))
    capacitor, module, resistor = file.of(LOADS)
    assert (capacitor.way, module.way, module.phase) == ("3", "4", "L1")
    assert {name: cell.text for name, cell in capacitor.cells.items()} == {
        "board": "DB1",
        "circuit": "3",
        "kind": "capacitor",
        "count": "2",
        "value": "0.1 µF X2 275 V",
        "connection": "SL-N",
        "place": "Office rose",
        "access": "Steps",
        "capacitance_uf": "0.1",
        "capacitor_class": "X2",
        "rated_voltage_v": "275",
    }
    assert module.cells["is_hidden"].text == "yes"
    assert module.cells["since"].text == "2026-11-03"
    assert "Kept as text" in module.cells["value"].note
    assert {
        name: resistor.cells[name].text for name in ("resistance_ohm", "resistors_in_series", "rated_power_w")
    } == {
        "resistance_ohm": "470000",
        "resistors_in_series": "2",
        "rated_power_w": "2",
    }
    assert file.problems == ()


def test_values_in_columns_of_their_own_are_converted_by_their_headings():
    rows = [
        ["Circuit", "Kind", "Capacitance (nF)", "Resistance (kΩ)", "Place"],
        ["3", "RC network", "100", "0.1", "Behind the fan"],
    ]
    cells = read_file("x.xlsx", samples.workbook({"Loads": rows})).rows[0].cells
    assert (cells["kind"].text, cells["capacitance_uf"].text, cells["resistance_ohm"].text) == (
        "rc_network",
        "0.100",
        "100",
    )


def test_a_kind_that_is_not_known_is_told_with_the_choices():
    rows = [["Circuit", "Kind", "Connection", "Place"], ["3", "gizmo", "L-N", "Loft"]]
    file = read_file("x.xlsx", samples.workbook({"Loads": rows}))
    assert file.problems[0].where == "Loads!B2"
    assert "suppression capacitor" in file.problems[0].text


def test_three_tables_on_one_sheet():
    rows = [
        *samples.schedule_rows("DB1 Warehouse", samples.WAREHOUSE),
        [],
        *LIMITATION_ROWS[1:4],
        [],
        *LOAD_ROWS,
    ]
    file = read_file("x.xlsx", samples.workbook({"All": rows}, {"All": samples.MERGED}))
    assert [len(file.of(table)) for table in ("schedule", LIMITATIONS, LOADS)] == [5, 2, 3]
    assert file.problems == ()


@pytest.mark.parametrize(
    ("name", "choices"),
    [
        ("kind", LoadKind),
        ("connection", Connection),
        ("state", LoadState),
        ("origin", Origin),
        ("capacitor_class", CapacitorClass),
    ],
)
def test_the_words_of_the_load_register_are_all_known(name, choices):
    field = LOADS_TABLE.field(name)
    assert [value for value, _ in field.choices] == choices.values
    for value, label in choices.choices:
        assert read_cell(field, Raw(str(label))).text == value
        assert read_cell(field, Raw(value)).text == value


def test_columns_bear_the_names_of_the_record():
    loads = {field.name for field in ParallelLoad._meta.get_fields()} | {"board", "value"}
    assert {field.name for field in LOADS_TABLE.fields} <= loads
    limitations = {field.name for field in Limitation._meta.get_fields()} | {"board"}
    assert {field.name for field in LIMITATIONS_TABLE.fields} <= limitations


def test_every_test_of_the_schedule_can_be_named_by_its_heading():
    rows = [["Circuits", "Tests", "Kind", "Reason"]]
    rows += [["1", column.heading, "operational", "In use"] for column in READINGS]
    file = read_file("x.xlsx", samples.workbook({"Limitations": rows}))
    assert [row.cells["tests"].text for row in file.rows] == [column.name for column in READINGS]


def test_a_limitation_may_be_of_the_visual_inspection():
    rows = [
        ["Circuits", "Tests", "Kind", "Reason"],
        ["1", "Visual inspection, Zs", "operational", "Roof space locked"],
    ]
    file = read_file("x.xlsx", samples.workbook({"Limitations": rows}))
    (row,) = file.of(LIMITATIONS)
    assert row.cells["tests"].text == "visual, zs"
    assert set(row.cells["tests"].text.split(", ")) <= set(TESTS)
