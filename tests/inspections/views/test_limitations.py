"""Limitations."""

from datetime import date

import pytest
from django.urls import reverse

from inspections.enums import InspectionStatus, LimitationScope, StandingAnswer
from inspections.models import Limitation
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    InspectionFactory,
    LimitationFactory,
    MemberFactory,
)

TYPED = {
    "tests": ["ir_live_live"],
    "scope": "whole",
    "kind": "operational",
    "reason": "Alarm could not be off",
}


@pytest.fixture
def add(place, inside):
    address = reverse("limitation_add", args=[place.inspection.pk])
    place.limitation.delete()

    def post(**typed):
        return inside.post(address, {**TYPED, **typed})

    return post


def test_limitation_of_some_circuits_is_saved_with_them(place, add):
    response = add(scope="circuits", circuits=[place.circuit.pk], tests=["zs", "rcd_trip_ms"])

    saved = Limitation.objects.get()
    assert response.url == reverse("inspection", args=[place.inspection.pk])
    assert saved.tests == ["zs", "rcd_trip_ms"]
    assert list(saved.circuits.all()) == [place.circuit]


def test_limitation_of_boards_keeps_no_circuits(place, add):
    add(scope="boards", boards=[place.board.pk], circuits=[place.circuit.pk])

    saved = Limitation.objects.get()
    assert (list(saved.boards.all()), list(saved.circuits.all())) == ([place.board], [])


@pytest.mark.parametrize(
    ("typed", "errors"),
    [
        ({"tests": []}, {"tests": ["Choose at least one test that was not done."]}),
        ({"reason": ""}, {"reason": ["Say why the test was not done."]}),
        ({"scope": "circuits"}, {"circuits": ["Choose the circuits it covers."]}),
        ({"scope": "boards"}, {"boards": ["Choose the boards it covers."]}),
        (
            {"kind": "agreed", "agreed_with": "J. Orme"},
            {"__all__": ["An agreed limitation says with whom it was agreed, and when."]},
        ),
    ],
)
def test_what_is_missing_is_said_and_the_rest_kept(add, errors_of, typed, errors):
    response = add(agreed_how="By telephone", **typed)

    assert errors_of(response) == errors
    assert 'value="By telephone"' in response.content.decode()
    assert not Limitation.objects.exists()


def test_agreed_limitation_with_whom_and_when_is_saved(add):
    add(kind="agreed", agreed_with="J. Orme", agreed_on="2026-11-01")

    assert Limitation.objects.get().agreed_on == date(2026, 11, 1)


def test_circuit_of_another_installation_is_refused(place, add, errors_of):
    elsewhere = CircuitFactory(board__installation__client=place.client)

    assert list(errors_of(add(scope="circuits", circuits=[elsewhere.pk]))) == ["circuits"]


def test_board_of_another_installation_is_refused(place, add, errors_of):
    elsewhere = BoardFactory(installation__client=place.client)

    assert list(errors_of(add(scope="boards", boards=[elsewhere.pk]))) == ["boards"]


def test_reading_marked_lim_leads_here_with_its_test_and_circuit_chosen(place, inside):
    address = reverse("limitation_add", args=[place.inspection.pk])

    page = inside.get(f"{address}?tests=zs&circuits={place.circuit.pk}").content.decode()

    assert f'name="circuits" value="{place.circuit.pk}" id="id_circuits_0_0" checked' in " ".join(
        page.split()
    )
    assert page.count(" checked") == 4  # the test and the circuit, and the radios for kind and scope


def test_earlier_reasons_of_the_firm_are_offered_once_and_no_other_firms(place, inside):
    LimitationFactory(inspection=place.inspection, reason="Server room in use")
    LimitationFactory(inspection=place.inspection, reason="Server room in use")
    LimitationFactory(reason="Reason of another firm")

    page = inside.get(reverse("limitation_add", args=[place.inspection.pk])).content.decode()

    assert page.count("Server room in use") == 1
    assert "Reason of another firm" not in page


def test_changing_a_limitation_shows_what_it_covers(place, inside):
    limitation = LimitationFactory(inspection=place.inspection, circuits=[place.circuit])

    form = inside.get(reverse("limitation_change", args=[limitation.pk])).context["form"]

    assert form.initial["circuits"] == [place.circuit.pk]


def test_retired_circuit_it_covers_is_not_lost_by_a_change(place, inside):
    limitation = LimitationFactory(inspection=place.inspection, circuits=[place.circuit])
    place.circuit.retired_on = date(2026, 11, 20)
    place.circuit.save()

    inside.post(
        reverse("limitation_change", args=[limitation.pk]),
        {**TYPED, "scope": "circuits", "circuits": [place.circuit.pk]},
    )

    limitation.refresh_from_db()
    assert limitation.reason == "Alarm could not be off"
    assert list(limitation.circuits.all()) == [place.circuit]


@pytest.fixture
def carried(place):
    before = InspectionFactory(installation=place.installation, started_on=date(2023, 11, 6))
    standing = LimitationFactory(inspection=before, is_standing=True)
    return LimitationFactory(
        inspection=place.inspection,
        is_standing=True,
        carried_from=standing,
        standing_answer=StandingAnswer.PENDING,
    )


@pytest.mark.parametrize(("answer", "stands"), [("kept", True), ("lifted", False)])
def test_standing_limitation_is_answered(inside, carried, answer, stands):
    inside.post(reverse("limitation_answer", args=[carried.pk]), {"answer": answer})

    carried.refresh_from_db()
    assert (carried.standing_answer, carried.is_standing) == (answer, stands)


@pytest.mark.parametrize("answer", ["", "pending", "changed", "perhaps"])
def test_other_answers_change_nothing(inside, carried, answer):
    inside.post(reverse("limitation_answer", args=[carried.pk]), {"answer": answer})

    carried.refresh_from_db()
    assert carried.standing_answer == StandingAnswer.PENDING


def test_changing_a_carried_limitation_answers_it(inside, carried):
    inside.post(reverse("limitation_change", args=[carried.pk]), TYPED)

    carried.refresh_from_db()
    assert (carried.standing_answer, carried.scope) == (StandingAnswer.CHANGED, LimitationScope.WHOLE)


def test_answer_by_a_stranger_is_not_found(carried, browser_of):
    response = browser_of(MemberFactory()).post(
        reverse("limitation_answer", args=[carried.pk]), {"answer": "lifted"}
    )

    assert response.status_code == 404
    carried.refresh_from_db()
    assert carried.standing_answer == StandingAnswer.PENDING


def test_answer_cannot_be_asked_for_by_a_link(inside, carried):
    assert inside.get(reverse("limitation_answer", args=[carried.pk])).status_code == 405


def test_answer_at_a_visit_in_review_changes_nothing(inside, carried):
    carried.inspection.status = InspectionStatus.IN_REVIEW
    carried.inspection.save()

    inside.post(reverse("limitation_answer", args=[carried.pk]), {"answer": "lifted"})

    carried.refresh_from_db()
    assert carried.standing_answer == StandingAnswer.PENDING


def test_limitation_at_a_visit_in_review_is_refused(place, add, errors_of):
    place.inspection.status = InspectionStatus.ISSUED
    place.inspection.save()

    assert list(errors_of(add())) == ["__all__"]
    assert not Limitation.objects.exists()


@pytest.mark.parametrize(
    ("back", "leads_to"),
    [
        ("/inspections/1/boards/1/results/#row-1", "/inspections/1/boards/1/results/#row-1"),
        ("//example.org/", ""),
    ],
)
def test_limitation_of_a_reading_leads_back_to_it_and_never_off_the_site(place, inside, back, leads_to):
    visit = reverse("inspection", args=[place.inspection.pk])
    address = reverse("limitation_add", args=[place.inspection.pk], query={"back": back})
    assert inside.post(address, TYPED).url == (leads_to or visit)
