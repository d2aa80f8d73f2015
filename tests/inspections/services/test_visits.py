"""Beginning a visit from the last one, and answering what was carried over."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from inspections.enums import InspectionKind, LimitationKind, LimitationScope, StandingAnswer
from inspections.models import CircuitResult, Limitation
from inspections.services.visits import answer_standing_limitation, record_limitation, start_inspection
from tests.factories import (
    VISIT,
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    InstallationFactory,
    InstrumentFactory,
    LimitationFactory,
    MemberFactory,
    ObservationFactory,
)

pytestmark = pytest.mark.django_db

TWO_YEARS_BEFORE = date(2024, 11, 5)


@pytest.fixture
def place():
    return InstallationFactory()


@pytest.fixture
def member(place):
    return MemberFactory(firm=place.firm)


@pytest.fixture
def last(place):
    return InspectionFactory(
        installation=place,
        started_on=TWO_YEARS_BEFORE,
        extent="All boards",
        instruments=[
            InstrumentFactory(firm=place.firm, serial="in use"),
            InstrumentFactory(firm=place.firm, serial="retired", retired_on=date(2025, 6, 1)),
        ],
    )


def start(place, member, **changes):
    settled = {"kind": InspectionKind.PERIODIC, "started_on": VISIT, "inspector": member}
    return start_inspection(installation=place, member=member, **settled | changes)


# Beginning


def test_a_first_visit_begins_with_nothing(place, member):
    inspection = start(place, member, reason="The client asked")
    assert (inspection.based_on, inspection.extent, inspection.reason) == (None, "", "The client asked")
    assert inspection.is_open
    assert inspection.history.get().history_user == member


def test_the_edition_is_fixed_when_the_visit_begins(place, member):
    place.rule_set = "an_older_edition"
    place.save()
    inspection = start(place, member)
    place.rule_set = "a_newer_edition"
    place.save()
    inspection.refresh_from_db()
    assert inspection.edition == "an_older_edition"


def test_extent_and_instruments_come_over(place, member, last):
    inspection = start(place, member)
    assert inspection.based_on == last
    assert inspection.extent == "All boards"
    assert [instrument.serial for instrument in inspection.instruments.all()] == ["in use"]


def test_readings_and_observations_do_not_come_over(place, member, last):
    CircuitResultFactory(inspection=last, zs="0.50")
    ObservationFactory(inspection=last)
    last.ze = "0.21"
    last.save()
    inspection = start(place, member)
    assert not CircuitResult.objects.filter(inspection=inspection).exists()
    assert not inspection.observations.exists()
    assert inspection.ze.is_blank


def test_it_is_begun_from_the_latest_visit_before_it(place, member, last):
    InspectionFactory(installation=place, started_on=date(2022, 1, 1))
    InspectionFactory(installation=place, started_on=date(2027, 1, 1))
    InspectionFactory(started_on=date(2026, 1, 1))
    assert start(place, member).based_on == last


def test_a_visit_that_ends_before_it_begins_is_refused_whole(place, member):
    with pytest.raises(ValidationError):
        start(place, member, kind="no such kind")
    assert not place.inspections.exists()


# Standing limitations


def test_a_standing_limitation_comes_over_and_waits_for_an_answer(place, member, last):
    board = BoardFactory(installation=place)
    circuits = [CircuitFactory(board=board), CircuitFactory(board=board, retired_on=date(2025, 1, 1))]
    stood = LimitationFactory(
        inspection=last,
        circuits=circuits,
        is_standing=True,
        tests=["ir_live_live", "zs"],
        kind=LimitationKind.AGREED,
        agreed_with="The mill manager",
        agreed_on=TWO_YEARS_BEFORE,
        agreed_how="In writing",
        reason="Looms may not stop",
    )
    carried = start(place, member).limitations.get()
    assert (carried.carried_from, carried.standing_answer) == (stood, StandingAnswer.PENDING)
    for name in ("kind", "tests", "scope", "reason", "agreed_with", "agreed_on", "agreed_how", "is_standing"):
        assert getattr(carried, name) == getattr(stood, name)
    assert list(carried.circuits.all()) == circuits[:1]
    assert {row.history_user for row in carried.history.all()} >= {member}


@pytest.mark.parametrize(
    "settled",
    [{"is_standing": False}, {"is_standing": False, "standing_answer": StandingAnswer.LIFTED}],
    ids=["of its day only", "lifted"],
)
def test_others_do_not_come_over(place, member, last, settled):
    carried_from = LimitationFactory(
        inspection=InspectionFactory(installation=place, started_on=date(2022, 1, 1))
    )
    if "standing_answer" in settled:
        settled = settled | {"carried_from": carried_from}
    LimitationFactory(inspection=last, **settled)
    assert not start(place, member).limitations.exists()


def test_carried_year_after_year_it_keeps_its_line(place, member, last):
    first = LimitationFactory(inspection=last, is_standing=True)
    second = start(place, member).limitations.get()
    answer_standing_limitation(limitation=second, answer=StandingAnswer.KEPT, member=member)
    third = start(place, member, started_on=date(2028, 11, 7)).limitations.get()
    assert (third.carried_from, third.carried_from.carried_from) == (second, first)
    assert third.standing_answer == StandingAnswer.PENDING


@pytest.mark.parametrize(("answer", "stands"), [(StandingAnswer.KEPT, True), (StandingAnswer.LIFTED, False)])
def test_an_answer_keeps_or_lifts_it(place, member, last, answer, stands):
    LimitationFactory(inspection=last, is_standing=True)
    carried = start(place, member).limitations.get()
    answer_standing_limitation(limitation=carried, answer=answer, member=member)
    carried.refresh_from_db()
    assert (carried.standing_answer, carried.is_standing) == (answer, stands)
    assert carried.history.latest().history_user == member
    later = start(place, member, started_on=date(2028, 11, 7))
    assert later.limitations.exists() is stands


def test_what_was_not_carried_has_nothing_to_answer(place, member, last):
    limitation = LimitationFactory(inspection=last, is_standing=True)
    with pytest.raises(ValidationError, match="nothing to answer"):
        answer_standing_limitation(limitation=limitation, answer=StandingAnswer.KEPT, member=member)


def test_an_unknown_answer_is_refused(place, member, last):
    LimitationFactory(inspection=last, is_standing=True)
    carried = start(place, member).limitations.get()
    with pytest.raises(ValidationError):
        answer_standing_limitation(limitation=carried, answer="perhaps", member=member)
    carried.refresh_from_db()
    assert carried.standing_answer == StandingAnswer.PENDING


# Recording one


def new_limitation(inspection, **settled):
    return Limitation(inspection=inspection, tests=["zs"], reason="Supply may not be cut", **settled)


def test_a_limitation_is_recorded_with_its_circuits(last, member):
    circuit = CircuitFactory(board__installation=last.installation)
    limitation = record_limitation(limitation=new_limitation(last), circuits=[circuit], member=member)
    assert list(limitation.circuits.all()) == [circuit]
    assert limitation.history.earliest().history_user == member


@pytest.mark.parametrize("scope", [LimitationScope.BOARDS, LimitationScope.CIRCUITS])
def test_a_scope_that_names_nothing_is_refused(last, member, scope):
    with pytest.raises(ValidationError) as refusal:
        record_limitation(limitation=new_limitation(last, scope=scope), member=member)
    assert list(refusal.value.message_dict) == [scope.value]
    assert not last.limitations.exists()


def test_what_the_scope_does_not_speak_of_is_dropped(last, member):
    circuit = CircuitFactory(board__installation=last.installation)
    limitation = record_limitation(limitation=new_limitation(last), circuits=[circuit], member=member)
    limitation.scope = LimitationScope.BOARDS
    record_limitation(limitation=limitation, boards=[circuit.board], circuits=[circuit], member=member)
    assert not limitation.circuits.exists()
    assert list(limitation.boards.all()) == [circuit.board]


def test_a_limitation_of_the_whole_installation_names_nothing(last, member):
    limitation = record_limitation(
        limitation=new_limitation(last, scope=LimitationScope.WHOLE), member=member
    )
    assert not limitation.boards.exists()


def test_a_limitation_without_reason_is_refused(last, member):
    limitation = new_limitation(last, scope=LimitationScope.WHOLE)
    limitation.reason = ""
    with pytest.raises(ValidationError):
        record_limitation(limitation=limitation, member=member)
    assert not last.limitations.exists()


def test_a_carried_limitation_that_is_edited_is_answered_as_changed(place, member, last):
    LimitationFactory(inspection=last, is_standing=True)
    carried = start(place, member).limitations.get()
    carried.reason = "Only the ground floor now"
    record_limitation(limitation=carried, member=member)
    carried.refresh_from_db()
    assert carried.standing_answer == StandingAnswer.CHANGED


def test_a_limitation_of_circuits_that_are_all_retired_does_not_come_over(place, member, last):
    circuit = CircuitFactory(board__installation=place)
    limitation = LimitationFactory(inspection=last, is_standing=True, scope=LimitationScope.CIRCUITS)
    limitation.circuits.set([circuit])
    circuit.retired_on = date(2025, 6, 1)
    circuit.save()
    assert not start(place, member).limitations.exists()
