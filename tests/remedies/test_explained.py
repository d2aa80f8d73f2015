"""Which loads were in circuit when a visit tested, from their history; and the readings held beside them."""

from datetime import date, timedelta

import pytest

from inspections.services.record import save_record
from remedies import services
from remedies.enums import LoadKind, LoadState
from remedies.explained import AlsoKnown, explain_reading, explanations_of, in_circuit_at
from remedies.models import ParallelLoad
from remedies.physics.explanation import Verdict
from remedies.physics.measured import Settling
from tests.factories import CircuitFactory, CircuitResultFactory, InspectionFactory, ParallelLoadFactory

pytestmark = pytest.mark.django_db
FOUND, VISIT = date(2021, 5, 4), date(2026, 11, 3)
BEFORE, AFTER = VISIT - timedelta(days=1), VISIT + timedelta(days=1)


@pytest.fixture
def inspection():
    return InspectionFactory(started_on=VISIT, finished_on=VISIT)


@pytest.fixture
def circuit(inspection):
    return CircuitFactory(board__installation=inspection.installation)


@pytest.fixture
def load(inspection, circuit):
    """A neon that reads about 0.26 MΩ at 500 V, found years before the visit."""
    neon = ParallelLoad(
        circuit=circuit, kind=LoadKind.NEON, resistance_ohm=220_000, place="Foyer", since=FOUND
    )
    return services.record_load(load=neon, member=inspection.inspector)


@pytest.fixture
def was_in(inspection, circuit, load):
    """Whether the load counts as in circuit at the visit, after steps of its life: (function, day)."""

    def after(*steps):
        for step, day in steps:
            extra = {"by": "B. Weaver"} if step is services.take_out_load else {}
            step(load=load, on=day, member=inspection.inspector, **extra)
        return load in in_circuit_at(inspection).get(circuit.pk, [])

    return after


OUT, BACK, TAKEN = services.disconnect_for_test, services.put_back, services.take_out_load


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        ((), True),
        (((OUT, VISIT),), False),
        (((OUT, VISIT), (BACK, VISIT)), False),  # out for the tests of that day, though back by evening
        (((OUT, BEFORE), (BACK, VISIT)), False),
        (((OUT, BEFORE), (BACK, BEFORE)), True),
        (((OUT, BEFORE),), False),
        (((OUT, AFTER),), True),
        (((OUT, AFTER), (BACK, AFTER)), True),
        (((TAKEN, BEFORE),), False),
        (((TAKEN, VISIT),), False),
        (((TAKEN, AFTER),), True),
        (((OUT, VISIT), (TAKEN, AFTER)), False),
    ],
)
def test_a_load_counts_as_in_circuit_by_what_it_was_on_the_days_of_the_visit(was_in, steps, expected):
    assert was_in(*steps) == expected


def test_any_day_of_a_longer_visit_counts(inspection, was_in):
    inspection.finished_on = AFTER
    inspection.save()

    assert not was_in((OUT, AFTER), (BACK, AFTER))


def test_a_load_found_after_the_visit_was_not_known_then(inspection, circuit):
    ParallelLoadFactory(circuit=circuit, since=AFTER)

    assert in_circuit_at(inspection) == {}


def test_a_suspicion_counts_once_it_is_found_true(inspection, circuit):
    suspected = ParallelLoad(
        circuit=circuit, kind=LoadKind.UNKNOWN, place="Foyer", since=VISIT, state=LoadState.SUSPECTED
    )
    services.record_load(load=suspected, member=inspection.inspector)
    assert in_circuit_at(inspection) == {}

    services.confirm_load(load=suspected, on=AFTER, member=inspection.inspector)

    assert in_circuit_at(inspection) == {circuit.pk: [suspected]}


def test_a_day_corrected_later_is_the_day_that_counts(inspection, circuit, load):
    """Disconnected the day before, by mistake entered as years before; and a correction of its place."""
    services.disconnect_for_test(load=load, on=FOUND, member=inspection.inspector)
    services.put_back(load=load, on=BEFORE, member=inspection.inspector)
    load.refresh_from_db()
    load.state_since = VISIT
    save_record(load, member=inspection.inspector)

    assert in_circuit_at(inspection) == {}


def test_a_reading_taken_with_the_load_out_is_not_held_against_it(inspection, circuit, load):
    CircuitResultFactory(inspection=inspection, circuit=circuit, ir_live_live=">200", ir_voltage_v=500)
    (told,) = explanations_of(inspection)
    assert told.explanation.verdict is Verdict.HIGHER

    services.disconnect_for_test(load=load, on=VISIT, member=inspection.inspector)
    services.put_back(load=load, on=VISIT, member=inspection.inspector)

    assert explanations_of(inspection) == []  # plainly sound


def test_taking_a_load_out_later_leaves_the_old_reading_explained(inspection, circuit, load):
    CircuitResultFactory(inspection=inspection, circuit=circuit, ir_live_live="0.26", ir_voltage_v=500)
    services.take_out_load(load=load, on=AFTER, by="B. Weaver", member=inspection.inspector)

    (told,) = explanations_of(inspection)

    assert told.explanation.verdict is Verdict.EXPLAINED
    assert told.loads == (load,)


@pytest.mark.parametrize("circuits", [1, 4])
@pytest.mark.parametrize(("changed_on", "queries"), [(BEFORE, 4), (VISIT, 5)])
def test_queries_do_not_grow_with_the_circuits(
    inspection, circuits, changed_on, queries, django_assert_num_queries
):
    for _ in range(circuits):
        row = CircuitFactory(board__installation=inspection.installation)
        ParallelLoadFactory(circuit=row, since=changed_on)
        CircuitResultFactory(inspection=inspection, circuit=row, ir_live_live="0.26")

    # Loads, instruments, results, the installation of the visit; the histories where any is needed.
    inspection.refresh_from_db()
    with django_assert_num_queries(queries):
        explanations_of(inspection)


def test_what_was_also_seen_is_taken_in(inspection, circuit):
    result = CircuitResultFactory(
        inspection=inspection, circuit=circuit, ir_live_live="0.42", ir_voltage_v=500
    )

    told = explain_reading(result, [], AlsoKnown(settling=Settling.CLIMBED, settled_after_s=0.2))

    assert told.explanation.unregistered_capacitance
    assert told.explanation.capacitance_f.low > 0
    assert told.is_unexplained
