"""Rows of two installations or two firms never join, whichever code writes them. Every trigger is tried."""

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction

from inspections import integrity
from inspections.models import Inspection, Limitation
from tests.factories import (
    BoardFactory,
    BoardResultFactory,
    CircuitFactory,
    CircuitResultFactory,
    ClientFactory,
    FirmFactory,
    InspectionFactory,
    InstallationFactory,
    InstrumentFactory,
    LimitationFactory,
    MemberFactory,
    ObservationFactory,
    ParallelLoadFactory,
)

pytestmark = pytest.mark.django_db

# What may stand in a field that points to another row.
ELSEWHERE = {
    "installation": InstallationFactory,
    "client": ClientFactory,
    "firm": FirmFactory,
    "inspection": InspectionFactory,
    "based_on": InspectionFactory,
    "board": BoardFactory,
    "fed_from": BoardFactory,
    "circuit": CircuitFactory,
    "instrument": InstrumentFactory,
    "limitation": LimitationFactory,
    "carried_from": LimitationFactory,
    "inspector": MemberFactory,
}

# rule: the row, the field that says where it is, and the field that must not point elsewhere
SAME_PLACE = {
    "circuitresult_circuit_same_place": (CircuitResultFactory, "inspection", "circuit"),
    "boardresult_board_same_place": (BoardResultFactory, "inspection", "board"),
    "observation_board_same_place": (ObservationFactory, "inspection", "board"),
    "observation_circuit_same_place": (ObservationFactory, "inspection", "circuit"),
    "board_fed_from_same_place": (BoardFactory, "installation", "fed_from"),
    "inspection_based_on_same_place": (InspectionFactory, "installation", "based_on"),
    "limitation_carried_from_same_place": (LimitationFactory, "inspection", "carried_from"),
    "inspection_inspector_same_firm": (InspectionFactory, "installation", "inspector"),
    "parallelload_circuit_same_place": (ParallelLoadFactory, "inspection", "circuit"),
}

# rule: the table that joins two rows, and its two fields
JOINED = {
    "limitation_boards_board_same_place": (Limitation.boards.through, "limitation", "board"),
    "limitation_circuits_circuit_same_place": (Limitation.circuits.through, "limitation", "circuit"),
    "inspection_instrument_same_firm": (Inspection.instruments.through, "inspection", "instrument"),
}

# rule: the row, and the field of the owner it may not leave
STAYS = {
    "circuit_board_stays": (CircuitFactory, "board"),
    "board_installation_stays": (BoardFactory, "installation"),
    "inspection_installation_stays": (InspectionFactory, "installation"),
    "installation_client_stays": (InstallationFactory, "client"),
    "client_firm_stays": (ClientFactory, "firm"),
    "instrument_firm_stays": (InstrumentFactory, "firm"),
}


def cases(table):
    return [pytest.param(*row, id=name) for name, row in table.items()]


def refused():
    return pytest.raises(IntegrityError, match=r"belong|another")


def test_every_rule_is_tried_here():
    assert {rule.name for rule in integrity.RULES} == {*SAME_PLACE, *JOINED, *STAYS}


def test_rules_that_only_hold_an_owner_are_the_ones_not_asked_of_new_rows():
    assert {rule.name for rule in integrity.RULES if not rule.on_insert} == set(STAYS)


@pytest.mark.parametrize(("factory", "here", "link"), cases(SAME_PLACE))
def test_a_new_row_may_not_point_to_another_place(factory, here, link):
    with refused():
        factory(**{here: ELSEWHERE[here](), link: ELSEWHERE[link]()})


@pytest.mark.parametrize(("factory", "here", "link"), cases(SAME_PLACE))
def test_a_row_may_not_be_turned_to_another_place(factory, here, link):
    row = factory()
    with refused():
        type(row).objects.filter(pk=row.pk).update(
            **{here: getattr(row, here) or ELSEWHERE[here](), link: ELSEWHERE[link]()}
        )


@pytest.mark.parametrize(("through", "left", "right"), cases(JOINED))
def test_two_places_or_firms_are_never_joined(through, left, right):
    with refused():
        through.objects.bulk_create([through(**{left: ELSEWHERE[left](), right: ELSEWHERE[right]()})])


@pytest.mark.parametrize(("through", "left", "right"), cases(JOINED))
def test_what_was_joined_rightly_may_not_be_turned_elsewhere(through, left, right):
    row = ELSEWHERE[left]()
    place = row.installation if left == "inspection" else row.inspection.installation
    owner = {
        "board": {"installation": place},
        "circuit": {"board__installation": place},
        "instrument": {"firm": place.firm},
    }[right]
    joined = through.objects.create(**{left: row, right: ELSEWHERE[right](**owner)})
    with refused():
        through.objects.filter(pk=joined.pk).update(**{right: ELSEWHERE[right]()})


@pytest.mark.parametrize(("factory", "owner"), cases(STAYS))
def test_a_row_may_not_move_to_another_owner(factory, owner):
    row = factory()
    with refused():
        type(row).objects.filter(pk=row.pk).update(**{owner: ELSEWHERE[owner]()})


def test_a_row_may_move_within_its_owner():
    circuit = CircuitFactory()
    circuit.board = BoardFactory(installation=circuit.board.installation)
    circuit.save()
    place = circuit.board.installation
    place.client = ClientFactory(firm=place.firm)
    place.save()
    circuit.refresh_from_db()
    assert circuit.board.installation.client == place.client


def test_a_row_that_points_nowhere_is_free():
    load = ParallelLoadFactory(inspection=None)
    observation = ObservationFactory(board=None, circuit=None)
    assert (load.inspection, observation.circuit) == (None, None)


def test_migrating_lays_the_triggers_anew():
    """A migration that rebuilds a table drops its triggers on SQLite."""
    name = "circuitresult_circuit_same_place_insert"
    table = " ON inspections_circuitresult" if connection.vendor == "postgresql" else ""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TRIGGER {name}{table}")
    with transaction.atomic():
        CircuitResultFactory(inspection=InspectionFactory(), circuit=CircuitFactory())
        transaction.set_rollback(True)
    call_command("migrate", verbosity=0)
    with refused():
        CircuitResultFactory(inspection=InspectionFactory(), circuit=CircuitFactory())
