"""How long a circuit has gone without a full line-neutral test, and what would lift that."""

from datetime import date

import pytest

from inspections.enums import InspectionKind, VoltageBand
from remedies.enums import LoadKind, LoadState
from remedies.full_test import counts_under, without_full_test
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    LimitationFactory,
    ParallelLoadFactory,
)

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 3)


@pytest.fixture
def board():
    return BoardFactory()


@pytest.fixture
def circuit(board):
    return CircuitFactory(board=board)


def visit(board, year, kind=InspectionKind.PERIODIC):
    return InspectionFactory(installation=board.installation, started_on=date(year, 11, 3), kind=kind)


def read(circuit, year, reading, volts=500):
    inspection = visit(circuit.board, year)
    return CircuitResultFactory(
        inspection=inspection, circuit=circuit, ir_live_live=reading, ir_voltage_v=volts
    )


def count_of(circuit):
    return without_full_test(circuit.board, TODAY)[circuit.pk]


def test_a_full_test_last_time_leaves_nothing_to_say(circuit):
    read(circuit, 2021, "LIM")
    read(circuit, 2026, ">200")

    count = count_of(circuit)

    assert (count.inspections, count.words, count.lifting_words) == (0, "", "")


def test_inspections_and_years_since_the_last_full_test_are_counted(circuit):
    read(circuit, 2011, "150")
    read(circuit, 2016, "LIM")
    read(circuit, 2021, "0.40", volts=250)
    visit(circuit.board, 2026)

    count = count_of(circuit)

    assert (count.inspections, count.last_full) == (3, date(2011, 11, 3))
    assert count.years == pytest.approx(15, abs=0.01)
    assert count.words == "3 inspections and 15 years without a full line-neutral test."


def test_a_low_reading_at_full_voltage_is_a_full_test(circuit):
    """The count is about the test having been done; what it read is another matter."""
    read(circuit, 2026, "0.02")

    assert count_of(circuit).inspections == 0


def test_a_voltage_not_recorded_is_taken_as_the_full_one(circuit):
    read(circuit, 2026, "150", volts=None)

    assert count_of(circuit).inspections == 0


def test_extra_low_voltage_asks_for_250_v(board):
    """BS 7671 Table 64: SELV and PELV circuits are tested at 250 V."""
    circuit = CircuitFactory(board=board, voltage_band=VoltageBand.SELV)
    read(circuit, 2026, "150", volts=250)

    assert count_of(circuit).inspections == 0


def test_fault_visits_and_visits_before_the_circuit_was_there_do_not_count(circuit):
    visit(circuit.board, 2010)
    read(circuit, 2020, "LIM")
    visit(circuit.board, 2024, InspectionKind.FAULT)

    count = count_of(circuit)

    assert (count.inspections, count.last_full, count.since) == (1, None, date(2020, 11, 3))
    assert count.words == "1 inspection on record, none with a full line-neutral test."


def test_a_circuit_never_inspected_says_nothing(circuit):
    assert (count_of(circuit).inspections, count_of(circuit).words) == (0, "")


def test_the_register_says_what_would_lift_it_and_in_what_time(circuit):
    read(circuit, 2026, "LIM")
    ParallelLoadFactory(
        circuit=circuit, kind=LoadKind.TRANSFORMER, count=6, place="Above the luminaires", access_minutes=40
    )

    assert count_of(circuit).lifting_words == (
        "6 × transformer, Above the luminaires: 40 minutes to disconnect"
    )


def test_only_loads_that_hinder_the_test_are_named(circuit):
    read(circuit, 2026, "LIM")
    ParallelLoadFactory(
        circuit=circuit, capacitor_class="X2", capacitance_uf="0.1", rated_voltage_v=275, access_minutes=5
    )
    ParallelLoadFactory(circuit=circuit, kind=LoadKind.NEON, state=LoadState.SUSPECTED)
    ParallelLoadFactory(
        circuit=circuit, kind=LoadKind.NEON, connection="L-E", resistance_ohm=220_000, access_minutes=5
    )
    neon = ParallelLoadFactory(circuit=circuit, kind=LoadKind.NEON, access_minutes=10)
    driver = ParallelLoadFactory(circuit=circuit, kind=LoadKind.DRIVER, access_minutes=None)

    count = count_of(circuit)

    assert count.lifted_by == (neon, driver)
    assert (count.minutes, count.unknown_minutes) == (10, 1)
    assert count.minutes_words == "10 minutes to disconnect, and 1 without a time"


@pytest.mark.parametrize("number", [1, 3])
def test_a_board_takes_four_queries_however_many_circuits(board, number, django_assert_num_queries):
    inspection = visit(board, 2026)
    for _ in range(number):
        circuit = CircuitFactory(board=board)
        CircuitResultFactory(inspection=inspection, circuit=circuit, ir_live_live="LIM")
        ParallelLoadFactory(circuit=circuit, kind=LoadKind.NEON)

    with django_assert_num_queries(4):
        counts = without_full_test(board, TODAY)
        words = [count.lifting_words for count in counts.values()]
    assert len(words) == number


# --- under a standing limitation ----------------------------------------------------------------------------


def standing(circuit, **fields):
    fields = {"tests": ["ir_live_live"], "is_standing": True, **fields}
    return LimitationFactory(inspection=visit(circuit.board, 2026), **fields)


def test_a_standing_limitation_says_for_how_long_and_what_would_lift_it(board, circuit):
    ParallelLoadFactory(
        circuit=circuit, kind=LoadKind.TRANSFORMER, count=6, place="behind the luminaires", access_minutes=40
    )
    read(circuit, 2016, ">200")
    read(circuit, 2021, "LIM")

    ((told, count),) = counts_under(standing(circuit, circuits=[circuit]), TODAY)

    assert told == circuit
    assert count.words == "2 inspections and 10 years without a full line-neutral test."
    assert count.lifting_words == "6 × transformer, behind the luminaires: 40 minutes to disconnect"


@pytest.mark.parametrize("over", ["whole", "boards"])
def test_over_a_board_or_the_whole_each_circuit_counts_the_longest_first(board, circuit, over):
    other, tested = CircuitFactory(board=board), CircuitFactory(board=board)
    CircuitFactory(board=board, is_spare=True)
    read(circuit, 2021, "LIM")
    read(other, 2016, "LIM")
    read(tested, 2026, ">200")

    counts = counts_under(standing(circuit, **({"boards": [board]} if over == "boards" else {})), TODAY)

    # The one tested this year went without it at the visit of the limitation alone.
    assert [told for told, _ in counts] == [other, circuit, tested]


@pytest.mark.parametrize("fields", [{"is_standing": False}, {"tests": ["zs"]}])
def test_another_limitation_has_no_count(circuit, fields):
    read(circuit, 2021, "LIM")

    assert counts_under(standing(circuit, circuits=[circuit], **fields), TODAY) == []


@pytest.mark.parametrize("circuits", [1, 3])
def test_the_count_takes_the_same_queries_however_many_circuits(board, circuits, django_assert_num_queries):
    rows = [CircuitFactory(board=board) for _ in range(circuits)]
    for row in rows:
        ParallelLoadFactory(circuit=row)
    limitation = standing(rows[0], boards=[board])

    # Boards of the limitation and their circuits, visits, results, loads.
    with django_assert_num_queries(4):
        counts_under(limitation, TODAY)
