"""Questions asked of the register."""

from datetime import UTC, date, datetime

import pytest

from inspections.services.record import save_record
from remedies import bridge, labels
from remedies.enums import Connection, LoadKind, LoadState
from remedies.models import ParallelLoad
from remedies.selectors import (
    ALL_STATES,
    RegisterFilter,
    firm_register,
    installation_register,
    loads_by_circuit,
    not_put_back,
)
from tests.factories import (
    VISIT,
    BoardFactory,
    CircuitFactory,
    FirmFactory,
    InstallationFactory,
    MemberFactory,
    ParallelLoadFactory,
)

pytestmark = pytest.mark.django_db
TAKEN_OUT = {"state": LoadState.TAKEN_OUT, "taken_out_on": VISIT, "taken_out_by": "A. Dyer"}


@pytest.fixture
def circuit():
    return CircuitFactory()


@pytest.fixture
def installation(circuit):
    return circuit.board.installation


def stick_a_label(board):
    member = MemberFactory(firm=board.installation.firm)
    label = labels.print_label(board=board, at=datetime(2026, 11, 4, tzinfo=UTC), on=VISIT, member=member)
    return labels.confirm_stuck(label=label, on=date(2026, 11, 4), member=member)


# --- what to show -------------------------------------------------------------------------------------------


def test_register_leaves_out_what_was_taken_out(circuit, installation):
    here = ParallelLoadFactory(circuit=circuit)
    suspected = ParallelLoadFactory(circuit=circuit, state=LoadState.SUSPECTED)
    ParallelLoadFactory(circuit=circuit, **TAKEN_OUT)

    assert list(installation_register(installation)) == [here, suspected]


def test_register_shows_everything_when_asked(circuit, installation):
    loads = [ParallelLoadFactory(circuit=circuit), ParallelLoadFactory(circuit=circuit, **TAKEN_OUT)]

    assert list(installation_register(installation, RegisterFilter(state=ALL_STATES))) == loads


@pytest.mark.parametrize(
    ("chosen", "fields"),
    [
        (RegisterFilter(kind=LoadKind.NEON), {"kind": LoadKind.NEON}),
        (RegisterFilter(is_hidden=False), {"is_hidden": False}),
        (RegisterFilter(state=LoadState.SUSPECTED), {"state": LoadState.SUSPECTED}),
        (RegisterFilter(state=LoadState.TAKEN_OUT), TAKEN_OUT),
    ],
)
def test_register_shows_only_what_is_asked_for(circuit, installation, chosen, fields):
    ParallelLoadFactory(circuit=circuit, kind=LoadKind.RESISTOR, is_hidden=True)
    wanted = ParallelLoadFactory(circuit=circuit, **fields)

    assert list(installation_register(installation, chosen)) == [wanted]


# The rule is a filter in the database; what it says is held to the physics, which is held to a simulator.
@pytest.mark.parametrize("volts", [250, 500])
@pytest.mark.parametrize(
    "fields",
    [
        {"kind": LoadKind.CAPACITOR, "capacitance_uf": "0.1"},
        {"kind": LoadKind.CAPACITOR, "capacitance_uf": "0.1", "discharge_resistor_ohm": 1_000_000},
        {"kind": LoadKind.RC_NETWORK, "capacitance_uf": "0.1", "resistance_ohm": 100},
        {"kind": LoadKind.NEON, "resistance_ohm": 220_000},
        {"kind": LoadKind.INDICATOR},
        {"kind": LoadKind.RESISTOR, "resistance_ohm": 100_000},
        {"kind": LoadKind.LOAD_MODULE, "rated_power_w": 10},
        {"kind": LoadKind.TRANSFORMER, "rated_power_w": 50},
        {"kind": LoadKind.DRIVER},
        {"kind": LoadKind.SURGE},
        {"kind": LoadKind.SURGE, "rated_voltage_v": 150},
        {"kind": LoadKind.SURGE, "rated_voltage_v": 275},
        {"kind": LoadKind.SURGE, "rated_voltage_v": 320},
        {"kind": LoadKind.SURGE, "rated_voltage_v": 440},
        {"kind": LoadKind.RESISTOR, "resistance_ohm": 100_000, "connection": Connection.L_E},
        {"kind": LoadKind.RESISTOR, "resistance_ohm": 100_000, "connection": Connection.L_L},
    ],
    ids=lambda fields: "-".join(str(value) for value in fields.values()),
)
def test_seen_by_the_test_means_that_it_pulls_the_reading_below_sound_cable(circuit, volts, fields):
    load = ParallelLoadFactory(circuit=circuit, **fields)
    load.refresh_from_db()

    seen = ParallelLoad.objects.seen_live_live(volts).exists()

    # A load to earth may halve it, by the insulation of the other conductor; seen means lower than that.
    sound = bridge.expected_reading_for([], volts)
    assert seen == (bridge.expected_reading_for([load], volts).low_mohm < sound.low_mohm / 2)


# --- labels -------------------------------------------------------------------------------------------------


def test_present_loads_of_a_board_without_a_label_are_unlabelled(circuit, installation):
    load = ParallelLoadFactory(circuit=circuit)
    ParallelLoadFactory(circuit=circuit, state=LoadState.SUSPECTED)

    assert list(installation_register(installation, RegisterFilter(unlabelled=True))) == [load]


def test_loads_named_on_the_label_are_labelled_and_later_ones_are_not(circuit, installation):
    ParallelLoadFactory(circuit=circuit)
    stick_a_label(circuit.board)
    assert not installation_register(installation, RegisterFilter(unlabelled=True))

    later = ParallelLoadFactory(circuit=CircuitFactory(board=circuit.board))

    assert list(installation_register(installation, RegisterFilter(unlabelled=True))) == [later]


def test_a_load_that_reads_differently_since_is_unlabelled(circuit, installation):
    load = ParallelLoadFactory(circuit=circuit, place="Hall")
    label = stick_a_label(circuit.board)
    load.place = "Pantry"
    save_record(load, member=label.printed_by)

    assert list(installation_register(installation, RegisterFilter(unlabelled=True))) == [load]


def test_a_load_disconnected_for_a_test_is_still_labelled(circuit, installation):
    load = ParallelLoadFactory(circuit=circuit)
    label = stick_a_label(circuit.board)
    load.state = LoadState.DISCONNECTED
    save_record(load, member=label.printed_by)

    assert not installation_register(installation, RegisterFilter(unlabelled=True))


# --- of the firm --------------------------------------------------------------------------------------------


def test_firm_register_holds_every_installation_of_the_firm_and_no_other():
    firm = FirmFactory()
    circuits = [
        CircuitFactory(board__installation=InstallationFactory(client__firm=firm, name=name))
        for name in ("Mill", "Barn")
    ]
    mill, barn = (ParallelLoadFactory(circuit=circuit) for circuit in circuits)
    ParallelLoadFactory()

    assert list(firm_register(firm)) == [barn, mill]


@pytest.mark.parametrize("number", [1, 3])
def test_firm_register_takes_one_query_however_many_rows(number, django_assert_num_queries):
    firm = FirmFactory()
    for _ in range(number):
        circuit = CircuitFactory(board__installation=InstallationFactory(client__firm=firm))
        ParallelLoadFactory(circuit=circuit)

    with django_assert_num_queries(1):
        shown = [f"{load.circuit} {load.circuit.board.installation} {load}" for load in firm_register(firm)]
    assert len(shown) == number


@pytest.mark.parametrize("number", [1, 3])
def test_unlabelled_takes_four_queries_however_many_boards(number, django_assert_num_queries):
    firm = FirmFactory()
    installation = InstallationFactory(client__firm=firm)
    for _ in range(number):
        circuit = CircuitFactory(board=BoardFactory(installation=installation))
        ParallelLoadFactory(circuit=circuit)
        stick_a_label(circuit.board)

    with django_assert_num_queries(4):
        assert not list(firm_register(firm, RegisterFilter(unlabelled=True)))


# --- by circuit ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [1, 3])
def test_loads_of_a_board_by_circuit_take_one_query(circuit, number, django_assert_num_queries):
    circuits = [circuit, *(CircuitFactory(board=circuit.board) for _ in range(number - 1))]
    loads = {one.pk: [ParallelLoadFactory(circuit=one), ParallelLoadFactory(circuit=one)] for one in circuits}
    ParallelLoadFactory(circuit=circuit, **TAKEN_OUT)
    ParallelLoadFactory()

    with django_assert_num_queries(1):
        found = loads_by_circuit(circuit.board)
        words = [load.in_brief() + load.place for across in found.values() for load in across]
    assert found == loads
    assert len(words) == 2 * number


def test_not_put_back_is_what_is_still_disconnected_here(circuit, installation):
    waiting = ParallelLoadFactory(circuit=circuit, state=LoadState.DISCONNECTED)
    ParallelLoadFactory(circuit=circuit)
    ParallelLoadFactory(state=LoadState.DISCONNECTED)

    assert list(not_put_back(installation)) == [waiting]
