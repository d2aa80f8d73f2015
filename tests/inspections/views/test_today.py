"""The first page."""

from datetime import date

import pytest
import time_machine
from django.urls import reverse
from django.utils.html import escape

from inspections.enums import InspectionStatus, Role
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    InstallationFactory,
    MemberFactory,
)

TODAY = date(2026, 11, 25)


@pytest.fixture(autouse=True)
def fixed_today():
    with time_machine.travel("2026-11-25T12:00Z", tick=False):
        yield


def test_new_firm_is_told_what_to_do_first(db, browser_of):
    response = browser_of(MemberFactory()).get(reverse("today"))

    assert [(step.name, step.address) for step in response.context["first_steps"]] == [
        ("Add a client", reverse("client_add")),
        ("Add an installation", reverse("installation_add")),
        ("Add its boards", ""),
        ("Add an instrument", reverse("instrument_add")),
        ("Begin a visit", ""),
    ]
    assert [step.name for step in response.context["first_steps"] if step.is_next] == ["Add a client"]
    assert reverse("client_add") in response.content.decode()


def test_the_next_step_is_the_first_that_is_not_done_and_leads_to_the_place_there_is(db, browser_of):
    member = MemberFactory()
    place = InstallationFactory(client__firm=member.firm)
    inside = browser_of(member)
    steps = {step.name: step for step in inside.get(reverse("today")).context["first_steps"]}
    assert [name for name, step in steps.items() if step.is_done] == ["Add a client", "Add an installation"]
    assert steps["Add its boards"].is_next
    assert steps["Add its boards"].address == reverse("board_add", args=[place.pk])
    BoardFactory(installation=place)
    steps = {step.name: step for step in inside.get(reverse("today")).context["first_steps"]}
    assert steps["Add an instrument"].is_next
    assert steps["Begin a visit"].address == reverse("inspection_start", args=[place.pk])


def test_first_steps_put_away_stay_away_on_that_device(db, browser_of):
    member = MemberFactory()
    inside = browser_of(member)
    assert inside.post(reverse("first_steps_away")).url == reverse("today")
    assert "To begin with" not in inside.get(reverse("today")).content.decode()
    assert "To begin with" in browser_of(member).get(reverse("today")).content.decode()
    assert "Show them again" in inside.get(reverse("today")).content.decode()
    inside.post(reverse("first_steps_away"), {"again": "yes"})
    assert "To begin with" in inside.get(reverse("today")).content.decode()


def test_first_steps_are_gone_once_all_are_done(place, inside):
    assert inside.get(reverse("today")).context["first_steps"] == []


def test_own_open_visit_shows_how_many_readings_are_entered(place, inside):
    """A radial circuit without RCD asks for R1+R2, two insulation readings, polarity and Zs: five."""
    CircuitResultFactory(inspection=place.inspection, circuit=place.circuit, zs="0.84", r1_r2="0.61")

    response = inside.get(reverse("today"))

    [(visit, progress)] = response.context["mine"]
    assert visit == place.inspection
    assert str(progress) == "2 of 5 readings"


def test_spare_and_retired_circuits_ask_for_no_reading(place, inside):
    CircuitFactory(board=place.board, way="8", is_spare=True)
    CircuitFactory(board=place.board, way="9", retired_on=date(2025, 1, 1))

    [(_, progress)] = inside.get(reverse("today")).context["mine"]

    assert progress.wanted == 5


def test_visits_of_others_in_review_and_issued_each_stand_in_their_place(place, inside):
    other = MemberFactory(firm=place.member.firm)
    theirs = InspectionFactory(installation=place.installation, inspector=other)
    in_review = InspectionFactory(
        installation=place.installation, inspector=other, status=InspectionStatus.IN_REVIEW
    )
    InspectionFactory(installation=place.installation, inspector=place.member, status=InspectionStatus.ISSUED)

    context = inside.get(reverse("today")).context

    assert [visit for visit, _ in context["mine"]] == [place.inspection]
    assert [visit for visit, _ in context["others"]] == [theirs]
    assert [visit for visit, _ in context["in_review"]] == [in_review]


def test_what_is_overdue_or_falls_due_within_sixty_days_is_listed_soonest_first(place, inside):
    later = InstallationFactory(client=place.client, next_due_on=date(2027, 1, 24))
    overdue = InstallationFactory(client=place.client, next_due_on=date(2026, 11, 24))
    InstallationFactory(client=place.client, next_due_on=date(2027, 1, 25))

    response = inside.get(reverse("today"))

    assert list(response.context["due"]) == [overdue, later]
    assert "overdue since 24 Nov 2026" in response.content.decode()


@pytest.mark.parametrize("visits", [1, 3])
def test_number_of_queries_does_not_grow(place, inside, visits, django_assert_num_queries):
    for _ in range(visits - 1):
        installation = InstallationFactory(client=place.client, next_due_on=TODAY)
        CircuitFactory(board__installation=installation)
        InspectionFactory(installation=installation, inspector=place.member)
    InstallationFactory(client=place.client, next_due_on=TODAY)

    inside.get(reverse("today"))  # the audit works out what changed

    with django_assert_num_queries(18):
        inside.get(reverse("today"))


@pytest.mark.parametrize("number", [20, 23])
def test_of_many_that_are_due_the_first_are_named_and_the_whole_list_is_one_step_away(place, inside, number):
    for day in range(1, number + 1):
        InstallationFactory(client=place.installation.client, next_due_on=date(2026, 10, day))

    response = inside.get(reverse("today"))

    assert [row.next_due_on.day for row in response.context["due"]] == list(range(1, 21))
    assert response.context["more_due"] is (number > 20)
    link = f"{reverse('audit_question', args=['falling-due'])}?when=year&when=late&when=soon&what=inspection"
    assert (escape(link) in response.text) is (number > 20)
    if number > 20:
        assert inside.get(link).context["answer"].total == number


def test_a_visit_that_a_supervisor_assigns_is_on_the_first_page_of_whoever_it_is_assigned_to(
    place, browser_of
):
    inspector = MemberFactory(firm=place.member.firm, role=Role.INSPECTOR)
    change = reverse("inspection_change", args=[place.inspection.pk])
    assert browser_of(inspector).get(reverse("today")).context["mine"] == []
    assert browser_of(inspector).post(change, {}).status_code == 403

    browser_of(place.member).post(
        change, {"kind": "periodic", "started_on": "2026-11-03", "inspector": inspector.pk}
    )

    mine = browser_of(inspector).get(reverse("today")).context["mine"]
    assert [visit for visit, _ in mine] == [place.inspection]
    assert browser_of(inspector).post(change, {}).status_code == 200
    latest, before = place.inspection.history.all()[:2]
    assert (before.inspector, latest.inspector) == (place.member, inspector)
    assert latest.history_user == place.member
