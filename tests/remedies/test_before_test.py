"""What the before-you-test sheet says of a board."""

from datetime import date

import pytest

from inspections.enums import VoltageBand
from remedies import cautions
from remedies.before_test import before_test
from remedies.enums import LoadKind, LoadState
from tests.factories import (
    VISIT,
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    LimitationFactory,
    ParallelLoadFactory,
)

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 10)


@pytest.fixture
def board():
    return BoardFactory(designation="DB1", location="Under the stairs")


@pytest.fixture
def circuit(board):
    return CircuitFactory(board=board, way="3", description="Lights up")


def sheet_of(board):
    return before_test(board, on=TODAY)


def only_load(board):
    (circuit,) = sheet_of(board).circuits
    (load,) = circuit.loads
    return load


def test_a_load_is_told_with_place_access_time_and_effect(board, circuit):
    ParallelLoadFactory(
        circuit=circuit,
        kind=LoadKind.NEON,
        resistance_ohm=220_000,
        place="Landing switch",
        access="Two screws",
        access_minutes=5,
    )

    load = only_load(board)

    assert (load.what, load.place, load.access, load.minutes) == (
        "neon 220 kΩ",
        "Landing switch",
        "Two screws",
        5,
    )
    assert set(load.would_read) == {500, 250}
    assert load.test == "live-live"
    assert not load.holds_charge


def test_the_sheet_opens_with_isolating_and_ends_with_putting_back(board):
    order = sheet_of(board).order

    assert "prove dead" in order[1]
    assert "Put back each load" in order[-2]


def test_the_usual_cautions_are_all_there(board):
    told = " ".join(sheet_of(board).cautions).lower()

    for words in ("competent", "isolate, lock off", "no proof of isolation", "unlit", "discharge",
                  "500 v", "reconnect", "local codes"):  # fmt: skip
        assert words in told


def test_minutes_are_summed_and_the_unknown_counted(board, circuit):
    ParallelLoadFactory(circuit=circuit, access_minutes=10)
    ParallelLoadFactory(circuit=circuit, access_minutes=25)
    ParallelLoadFactory(circuit=circuit, access_minutes=None)
    ParallelLoadFactory(circuit=circuit, access_minutes=90, state=LoadState.SUSPECTED)

    sheet = sheet_of(board)

    assert (sheet.minutes, sheet.unknown_minutes) == (35, 1)


def test_capacitors_to_discharge_are_listed(board, circuit):
    ParallelLoadFactory(circuit=circuit, capacitor_class="X2", capacitance_uf="0.1", place="Pantry")
    ParallelLoadFactory(circuit=circuit, kind=LoadKind.NEON)

    assert sheet_of(board).to_discharge == (("3", "X2 0.1 µF, Pantry"),)


def test_what_is_suspected_is_listed_apart_and_not_expected_to_be_disconnected(board, circuit):
    ParallelLoadFactory(circuit=circuit, kind=LoadKind.UNKNOWN, place="Loft", state=LoadState.SUSPECTED)

    sheet = sheet_of(board)

    assert sheet.suspected == (("3", "unknown load, Loft"),)
    assert sheet.circuits[0].to_disconnect == ()
    assert sheet.circuits[0].expected == {}


def test_what_was_not_put_back_is_listed(board, circuit):
    ParallelLoadFactory(circuit=circuit, kind=LoadKind.NEON, place="Hall", state=LoadState.DISCONNECTED)

    assert sheet_of(board).not_put_back == (("3", "neon, Hall"),)


def test_what_was_taken_out_is_not_told(board, circuit):
    ParallelLoadFactory(
        circuit=circuit, state=LoadState.TAKEN_OUT, taken_out_on=VISIT, taken_out_by="A. Dyer"
    )

    sheet = sheet_of(board)

    assert (sheet.circuits, sheet.quiet) == ((), ("3",))


# BS 7671 643.3.2: what 500 V would harm is disconnected first, or the circuit is tested at 250 V.
@pytest.mark.parametrize(
    ("kind", "lower"), [(LoadKind.DRIVER, 250), (LoadKind.SURGE, 250), (LoadKind.NEON, None)]
)
def test_electronics_and_surge_protection_ask_for_250_v(board, circuit, kind, lower):
    ParallelLoadFactory(circuit=circuit, kind=kind, place="Loft")

    (told,) = sheet_of(board).circuits

    assert (told.test_v, told.lower_v) == (500, lower)
    assert [designation for designation, _ in sheet_of(board).at_250] == (["3"] if lower else [])


def test_extra_low_voltage_and_connected_equipment_are_tested_at_250_v(board):
    CircuitFactory(board=board, way="4", voltage_band=VoltageBand.SELV)
    CircuitFactory(board=board, way="5", equipment_stays_connected=True)

    sheet = sheet_of(board)

    assert [(c.designation, c.test_v) for c in sheet.circuits] == [("4", 250), ("5", 250)]
    assert "joined, to earth" in dict(sheet.at_250)["5"]


def test_class_x_to_earth_carries_its_caution(board, circuit):
    ParallelLoadFactory(circuit=circuit, capacitor_class="X2", connection="L-E")

    load = only_load(board)

    assert cautions.X_CLASS_FOUND in load.cautions
    assert load.must_come_out
    assert load.test == "live-earth"


def test_the_last_reading_and_the_count_are_told(board, circuit):
    inspection = InspectionFactory(installation=board.installation, started_on=date(2021, 11, 3))
    CircuitResultFactory(inspection=inspection, circuit=circuit, ir_live_live="0.40", ir_voltage_v=250)

    (told,) = sheet_of(board).circuits

    assert told.last == "0.40 MΩ at 250 V, 3 Nov 2021"
    assert told.without_full == "1 inspection on record, none with a full line-neutral test."


def test_what_the_last_inspection_left_untested_here_is_told(board, circuit):
    other = CircuitFactory(board=BoardFactory(installation=board.installation))
    earlier = InspectionFactory(installation=board.installation, started_on=date(2016, 1, 1))
    last = InspectionFactory(installation=board.installation, started_on=date(2021, 1, 1))
    LimitationFactory(inspection=earlier, reason="Long forgotten")
    LimitationFactory(inspection=last, circuits=[circuit], reason="Looms run day and night")
    LimitationFactory(inspection=last, circuits=[other], reason="Elsewhere")
    LimitationFactory(
        inspection=last,
        reason="Server room",
        agreed_with="C. Miller",
        agreed_on=date(2021, 1, 1),
        kind="agreed",
    )

    told = [(limit.where, limit.tests, limit.reason, limit.agreed) for limit in sheet_of(board).untested]

    assert told == [
        ("3", "Live-live", "Looms run day and night", ""),
        ("all circuits", "Live-live", "Server room", "agreed with C. Miller, 1 Jan 2021"),
    ]


@pytest.mark.parametrize("number", [1, 3])
def test_the_sheet_takes_the_same_queries_however_many_circuits(board, number, django_assert_num_queries):
    inspection = InspectionFactory(installation=board.installation)
    for _ in range(number):
        circuit = CircuitFactory(board=board)
        CircuitResultFactory(inspection=inspection, circuit=circuit, ir_live_live="0.40")
        ParallelLoadFactory(circuit=circuit, kind=LoadKind.NEON)

    with django_assert_num_queries(9):
        sheet = before_test(board, on=TODAY)
    assert len(sheet.circuits) == number
