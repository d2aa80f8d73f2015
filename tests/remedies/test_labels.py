"""The board label: its words, printed, stuck, and out of date."""

from datetime import UTC, date, datetime

import pytest
from django.core.exceptions import ValidationError

from remedies import labels, services
from remedies.enums import LoadKind, LoadState
from reports.labels.sheets import STOCKS
from tests.factories import VISIT, BoardFactory, CircuitFactory, MemberFactory, ParallelLoadFactory

pytestmark = pytest.mark.django_db
AT = datetime(2026, 11, 3, 17, 30, tzinfo=UTC)
NEXT_DAY = date(2026, 11, 4)


@pytest.fixture
def board():
    return BoardFactory(designation="DB1", installation__name="Larkfield Hall")


@pytest.fixture
def member(board):
    return MemberFactory(firm=board.installation.firm)


@pytest.fixture
def loads(board):
    tenth = CircuitFactory(board=board, way="10")
    second = CircuitFactory(board=board, way="2")
    return [
        ParallelLoadFactory(circuit=tenth, kind=LoadKind.NEON, resistance_ohm=220_000, place="Landing"),
        ParallelLoadFactory(circuit=second, capacitor_class="X2", capacitance_uf="0.1", place="Pantry"),
        ParallelLoadFactory(circuit=second, kind=LoadKind.TIMER, place="Airing cupboard"),
    ]


def print_label(board, member):
    return labels.print_label(board=board, at=AT, on=VISIT, member=member)


def test_a_label_names_the_loads_circuit_by_circuit_in_the_order_of_ways(board, loads):
    assert labels.label_words(board, VISIT).text == (
        "DB1, Larkfield Hall\n"
        "Loads left across circuits:\n"
        "2: X2 0.1 µF, Pantry; timer, Airing cupboard\n"
        "10: neon 220 kΩ, Landing\n"
        "Disconnect before insulation test L-N. Put back after.\n"
        "3 Nov 2026"
    )


def test_a_label_leaves_out_what_is_suspected_taken_out_or_on_a_retired_circuit(board):
    circuit = CircuitFactory(board=board)
    ParallelLoadFactory(circuit=circuit, state=LoadState.SUSPECTED)
    ParallelLoadFactory(circuit=circuit, state=LoadState.TAKEN_OUT, taken_out_on=VISIT, taken_out_by="A")
    ParallelLoadFactory(circuit=CircuitFactory(board=board, retired_on=VISIT))

    assert labels.label_words(board, VISIT).lines == (labels.NOTHING,)


def test_a_printed_label_keeps_its_words_and_who_printed_it(board, loads, member):
    label = print_label(board, member)

    label.refresh_from_db()
    assert (label.text, label.printed_by, label.stuck_on) == (
        labels.label_words(board, VISIT).text,
        member,
        None,
    )


def test_the_state_of_a_label_from_needed_to_out_of_date(board, loads, member):
    def words():
        return labels.label_status(board).words

    assert words() == "There is no label at this board yet: print one."
    label = print_label(board, member)
    assert labels.label_status(board).is_out_of_date
    assert words() == "A label is printed and waits to be stuck at the board."
    labels.confirm_stuck(label=label, on=NEXT_DAY, member=member)
    assert not labels.label_status(board).is_out_of_date
    assert words() == "The label stuck on 4 Nov 2026 is up to date."

    services.take_out_load(load=loads[0], on=NEXT_DAY, by="A. Dyer", member=member)

    assert labels.label_status(board).is_out_of_date
    assert words() == "The label stuck on 4 Nov 2026 is out of date: print a new one."


def test_another_day_alone_does_not_make_a_label_out_of_date(board, loads, member):
    label = print_label(board, member)
    labels.confirm_stuck(label=label, on=NEXT_DAY, member=member)

    assert labels.label_words(board, date(2031, 1, 1)).text != label.text
    assert not labels.label_status(board).is_out_of_date


def test_disconnecting_for_a_test_does_not_make_a_label_out_of_date(board, loads, member):
    labels.confirm_stuck(label=print_label(board, member), on=NEXT_DAY, member=member)

    services.disconnect_for_test(load=loads[0], on=NEXT_DAY, member=member)

    assert not labels.label_status(board).is_out_of_date


def test_a_board_without_loads_needs_no_label_until_an_old_one_lies(board, member):
    assert not labels.label_status(board).is_out_of_date
    assert labels.label_status(board).words == "No label is needed: no loads are known at this board."

    load = ParallelLoadFactory(circuit=CircuitFactory(board=board))
    labels.confirm_stuck(label=print_label(board, member), on=NEXT_DAY, member=member)
    services.take_out_load(load=load, on=NEXT_DAY, by="A. Dyer", member=member)

    assert labels.label_status(board).is_out_of_date


def test_a_label_that_no_longer_tells_the_truth_is_not_stuck(board, loads, member):
    label = print_label(board, member)
    services.take_out_load(load=loads[0], on=NEXT_DAY, by="A. Dyer", member=member)

    with pytest.raises(ValidationError) as refused:
        labels.confirm_stuck(label=label, on=NEXT_DAY, member=member)

    assert refused.value.messages == [
        "The loads of this board have changed since the label was printed. Print a new one."
    ]
    assert labels.label_status(board).waiting_is_out_of_date


def test_a_label_is_stuck_once_and_not_before_it_was_printed(board, loads, member):
    label = print_label(board, member)
    with pytest.raises(ValidationError, match="printed on 3 Nov 2026, after that day"):
        labels.confirm_stuck(label=label, on=date(2026, 11, 2), member=member)

    labels.confirm_stuck(label=label, on=NEXT_DAY, member=member)

    assert (label.stuck_on, label.stuck_by) == (NEXT_DAY, member)
    with pytest.raises(ValidationError, match="already stuck, on 4 Nov 2026"):
        labels.confirm_stuck(label=label, on=NEXT_DAY, member=member)


def test_a_label_printed_before_the_one_at_the_board_no_longer_waits(board, loads, member):
    print_label(board, member)
    newer = labels.print_label(board=board, at=AT.replace(hour=18), on=VISIT, member=member)
    labels.confirm_stuck(label=newer, on=NEXT_DAY, member=member)

    assert labels.label_status(board).waiting is None


def test_the_stock_offered_is_the_stock_that_can_be_drawn():
    offered = {stock.key: (stock.name, stock.places) for stock in labels.STOCKS}
    assert offered == {key: (stock.name, stock.per_page) for key, stock in STOCKS.items()}
