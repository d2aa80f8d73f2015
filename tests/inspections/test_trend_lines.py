"""Readings from visit to visit, drawn small and said in words."""

from datetime import date
from decimal import Decimal

import pytest

from inspections.grid import rows_for
from inspections.models import CircuitResult
from inspections.selectors import board_record
from inspections.trend_lines import EDGE, HEIGHT, WIDTH, trend_lines
from tests.factories import CircuitFactory, CircuitResultFactory, InspectionFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def lines():
    """``lines([(year, readings), …])``: what is drawn of them, by heading."""
    circuit = CircuitFactory()

    def drawn(visits, **limits):
        results = [
            CircuitResultFactory(
                inspection=InspectionFactory(
                    installation=circuit.board.installation, started_on=date(year, 1, 1)
                ),
                circuit=circuit,
                **readings,
            )
            for year, readings in visits
        ]
        return {line.heading: line for line in trend_lines(results, limits)}

    return drawn


def heights(line):
    return [float(mark.y) for mark in line.marks]


def test_a_rising_reading_rises_from_left_to_right(lines):
    line = lines([(2026, {"zs": "0.80"}), (2016, {"zs": "0.40"}), (2021, {"zs": "0.60"})])["Zs"]

    low, middle, high = heights(line)
    assert low > middle > high  # counted from the top of the drawing
    assert middle == pytest.approx((low + high) / 2, abs=0.1)
    assert [float(mark.x) for mark in line.marks] == pytest.approx([EDGE, WIDTH / 2, WIDTH - EDGE], abs=0.1)


def test_reading_out_of_range_is_drawn_open_at_the_top(lines):
    line = lines(
        [(2016, {"ir_live_live": ">200"}), (2021, {"ir_live_live": "300"}), (2026, {"ir_live_live": "2.0"})]
    )["Live-live"]

    assert [mark.is_open for mark in line.marks] == [True, False, False]
    assert heights(line)[0] == EDGE == min(heights(line))


def test_reading_below_the_lowest_is_drawn_open_at_the_bottom(lines):
    line = lines([(2021, {"r1_r2": "0.30"}), (2026, {"r1_r2": "<0.05"})])["R1+R2"]

    assert line.marks[1].is_open
    assert heights(line)[1] == HEIGHT - EDGE


def test_insulation_falls_as_much_from_100_to_10_as_from_10_to_1(lines):
    line = lines(
        [(year, {"ir_live_earth": ohms}) for year, ohms in ((2016, "100"), (2021, "10"), (2026, "1"))]
    )["Live-earth"]

    first, second, third = heights(line)
    assert second - first == pytest.approx(third - second, abs=0.2)


def test_tests_at_two_voltages_are_not_joined(lines):
    visits = [(2016, 500), (2021, 500), (2026, 250)]
    line = lines([(year, {"ir_live_live": "50", "ir_voltage_v": volts}) for year, volts in visits])[
        "Live-live"
    ]

    assert [len(points.split()) for points in line.strokes] == [2, 1]


def test_words_say_all_that_is_drawn(lines):
    visits = [
        (2021, {"ir_live_live": ">200", "ir_voltage_v": 500}),
        (2026, {"ir_live_live": "45", "ir_voltage_v": 250}),
    ]

    assert lines(visits)["Live-live"].words == (
        "Live-live: 1 Jan 2021 >200 MΩ at 500 V, 1 Jan 2026 45 MΩ at 250 V."
    )


def test_limit_lies_above_the_readings_that_keep_to_it(lines):
    line = lines([(2021, {"zs": "0.40"}), (2026, {"zs": "0.50"})], zs=Decimal("1.37"))["Zs"]

    assert float(line.limit_y) < min(heights(line))
    assert line.limit == "1.37"


@pytest.mark.parametrize("text", ["LIM", "N/V", "N/A", ""])
def test_one_measured_reading_is_no_line(lines, text):
    assert lines([(2021, {"zs": text}), (2026, {"zs": "0.50"})]) == {}


def test_readings_of_nothing_are_drawn_at_the_bottom(lines):
    visits = [(2021, {"r1_r2": "0.00", "ir_live_live": "0"}), (2026, {"r1_r2": "0.00", "ir_live_live": "0"})]

    assert {height for line in lines(visits).values() for height in heights(line)} == {HEIGHT - EDGE}


def test_the_grid_shows_beside_a_cell_the_line_that_the_circuits_page_draws_and_no_level_one(
    lines,
):
    drawn = lines(
        [
            (2016, {"zs": "0.40", "r1_r2": "0.20", "ir_live_earth": ">200"}),
            (2021, {"zs": "0.60", "r1_r2": "0.20", "ir_live_earth": ">999"}),
            (2026, {"zs": "0.80", "r1_r2": "0.20", "ir_live_earth": ">999"}),
        ]
    )
    result = CircuitResult.objects.latest("inspection__started_on")
    [row] = rows_for(board_record(result.inspection, result.circuit.board))
    beside = {cell.column.heading: cell.trend for cell in row.cells if cell.trend}
    assert beside == {"Zs": drawn["Zs"].strokes}


def test_the_first_visit_has_no_line_beside_a_cell(lines):
    lines([(2026, {"zs": "0.80"})])
    result = CircuitResult.objects.get()
    [row] = rows_for(board_record(result.inspection, result.circuit.board))
    assert [cell.trend for cell in row.cells if cell.trend] == []
