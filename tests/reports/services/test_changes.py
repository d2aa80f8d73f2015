"""What differs between two contents, told once each."""

import pytest

from reports.changes import changes_between, changes_since
from reports.content import content_of
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    LimitationFactory,
    ObservationFactory,
    ParallelLoadFactory,
)
from tests.reports.ready import ready_visit

pytestmark = pytest.mark.django_db


def told(changes):
    return [(change.where, change.what, change.was, change.now) for change in changes]


@pytest.fixture
def visit():
    return ready_visit()


def test_nothing_changed_is_nothing_told(visit):
    assert changes_between(content_of(visit), content_of(visit)) == []


def test_a_reading_corrected_is_told_but_is_no_change_of_the_place(visit):
    before = content_of(visit)
    result = visit.results.get()
    result.zs = "0.81"
    result.save()
    now = content_of(visit)
    assert told(changes_between(before, now)) == [("DB1/1", "Zs (Ω)", "0.80", "0.81")]
    assert changes_since(before, now) == []


def test_what_is_new_is_told_as_a_whole(visit):
    before = content_of(visit)
    board = BoardFactory(installation=visit.installation, designation="DB2", location="Loft")
    circuit = CircuitFactory(board=board, way="1", description="Fan")
    ParallelLoadFactory(circuit=circuit, place="Rose")
    LimitationFactory(inspection=visit, reason="Locked", tests=["zs"])
    ObservationFactory(inspection=visit, text="Cover loose")
    now = content_of(visit)
    since = told(changes_since(before, now))
    assert since == [
        ("DB2", "board", "", "Loft"),
        ("DB2/1", "circuit", "", "Fan"),
        ("the whole installation", "limitation", "", "Zs: Locked"),
        ("DB2/1", "parallel load", "", "Suppression capacitor, Rose"),
    ]
    assert told(changes_between(before, now)) == [*since, ("", "observation", "", "Cover loose")]
    assert told(changes_since(now, before))[0] == ("DB2", "board", "Loft", "")


def test_two_limitations_alike_in_place_and_test_are_told_apart(visit):
    for reason in ("Locked", "Tenant away"):
        LimitationFactory(inspection=visit, reason=reason, tests=["zs"])
    before = content_of(visit)
    assert changes_between(before, content_of(visit)) == []
    visit.limitations.last().delete()
    assert told(changes_between(before, content_of(visit))) == [
        ("the whole installation", "limitation", "Zs: Tenant away", "")
    ]


@pytest.mark.parametrize(
    ("field", "value", "what", "bears"),
    [
        ("device_rating_a", "10", "Protective device rating (A)", True),
        ("live_csa_mm2", "2.5", "Conductors Live (mm²)", True),
        ("rcd_residual_ma", "30", "RCD IΔn (mA)", True),
        ("points", 9, "Points", False),
        ("description", "Hall", "Description", False),
    ],
)
def test_only_a_detail_that_a_limit_rests_on_bears_on_it(visit, field, value, what, bears):
    before = content_of(visit)
    circuit = visit.results.get().circuit
    setattr(circuit, field, value)
    circuit.save()
    (change,) = changes_since(before, content_of(visit))
    assert (change.what, change.bears_on_limit) == (what, bears)
