"""Copying and retiring circuits."""

import pytest
from django.core.exceptions import ValidationError

from inspections.models import Circuit
from inspections.services.circuits import copy_circuits, retire_circuit
from tests.factories import (
    VISIT,
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    LimitationFactory,
    MemberFactory,
    ObservationFactory,
    ParallelLoadFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def board():
    return BoardFactory(designation="DB1")


@pytest.fixture
def target(board):
    return BoardFactory(installation=board.installation, designation="DB2")


@pytest.fixture
def member(board):
    return MemberFactory(firm=board.installation.firm)


def test_circuits_in_use_are_copied_whole(board, target, member):
    source = CircuitFactory(
        board=board, way="10", phase="L2", description="Looms", live_csa_mm2="4.00", rcd_type="A", points=3
    )
    CircuitFactory(board=board, way="2", description="Lights")
    CircuitFactory(board=board, way="3", retired_on=VISIT)
    copy_circuits(source=board, target=target, member=member)
    assert [circuit.designation for circuit in target.circuits.all()] == ["2", "10 L2"]
    copy = target.circuits.get(way="10")
    not_copied = {"id", "board"}
    for field in Circuit._meta.concrete_fields:
        if field.name not in not_copied:
            source.refresh_from_db()
            assert getattr(copy, field.name) == getattr(source, field.name), field.name


def test_a_copy_has_a_history_of_its_own(board, target, member):
    CircuitFactory(board=board)
    (copy,) = copy_circuits(source=board, target=target, member=member)
    made = copy.history.get()
    assert (made.history_type, made.history_user, made.history_change_reason) == (
        "+",
        member,
        "Copied from DB1",
    )


def test_results_and_loads_stay_where_they_are(board, target, member):
    circuit = CircuitFactory(board=board)
    CircuitResultFactory(circuit=circuit)
    ParallelLoadFactory(circuit=circuit)
    (copy,) = copy_circuits(source=board, target=target, member=member)
    assert not copy.results.exists()
    assert not copy.parallel_loads.exists()


def test_taken_ways_are_named_and_nothing_is_copied(board, target, member):
    for way in ("1", "2", "3"):
        CircuitFactory(board=board, way=way)
    CircuitFactory(board=target, way="2")
    with pytest.raises(ValidationError, match=r"Nothing was copied: DB2 already has circuits on way 2\."):
        copy_circuits(source=board, target=target, member=member)
    assert target.circuits.count() == 1


def test_the_way_of_a_retired_circuit_is_free_to_copy_to(board, target, member):
    CircuitFactory(board=board, way="1")
    CircuitFactory(board=target, way="1", retired_on=VISIT)
    copy_circuits(source=board, target=target, member=member)
    assert target.circuits.in_use().count() == 1


@pytest.mark.parametrize(
    "record",
    [
        lambda circuit: CircuitResultFactory(circuit=circuit),
        lambda circuit: ParallelLoadFactory(circuit=circuit),
        lambda circuit: ObservationFactory(circuit=circuit),
        lambda circuit: LimitationFactory(installation=circuit.board.installation, circuits=[circuit]),
    ],
    ids=["result", "load", "observation", "limitation"],
)
def test_a_circuit_with_a_record_is_kept_and_retired(board, member, record):
    circuit = CircuitFactory(board=board)
    record(circuit)
    retire_circuit(circuit=circuit, on=VISIT, member=member)
    circuit.refresh_from_db()
    assert circuit.retired_on == VISIT
    latest = circuit.history.latest()
    assert (latest.history_user, latest.history_change_reason) == (member, "Retired")


def test_a_circuit_without_record_is_deleted_and_its_history_says_by_whom(board, member):
    circuit = CircuitFactory(board=board)
    key = circuit.pk
    retire_circuit(circuit=circuit, on=VISIT, member=member)
    assert not Circuit.objects.filter(pk=key).exists()
    gone = Circuit.history.filter(id=key).latest()
    assert (gone.history_type, gone.history_user) == ("-", member)
