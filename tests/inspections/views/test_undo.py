"""“Undo” after an act: what was done is taken back by whoever did it, and not over what others did."""

import re
from datetime import date

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inspections.enums import Role
from inspections.models import Circuit
from remedies.enums import LoadState
from remedies.models import ParallelLoad
from reports.links.tables import ClientLink
from reports.models import SavedFilter
from tests.factories import (
    CircuitFactory,
    ClientLinkFactory,
    InstallationFactory,
    MemberFactory,
    ObservationFactory,
    ParallelLoadFactory,
)
from tests.reports.ready import issued, ready_visit

pytestmark = pytest.mark.django_db

NOT_THERE = {"answer": "not_there", "on": "2026-11-25", "reason": "Looked"}
TAKEN_OUT = {"on": "2026-11-25", "by": "Noor Farrow"}


@pytest.fixture(autouse=True)
def today(time_machine):
    time_machine.move_to("2026-11-25 12:00:00+00:00", tick=False)


@pytest.fixture
def load():
    return ParallelLoadFactory(since=date(2026, 11, 3), state_since=date(2026, 11, 3))


@pytest.fixture
def member(load):
    return MemberFactory(firm=load.circuit.board.installation.firm, role=Role.SUPERVISOR)


@pytest.fixture
def browse(member):
    browser = Browser()
    browser.force_login(member)
    return browser


def undo_button(page):
    """What the button of the page sends."""
    sealed = re.search(r'name="act" value="([^"]+)"', page.content.decode())[1]
    return {"act": sealed, "back": page.request["PATH_INFO"]}


def said(page):
    return [str(message) for message in page.context["messages"]]


def test_a_load_taken_out_is_in_place_again_and_the_history_keeps_both(browse, load, member):
    page = browse.post(reverse("load_take_out", args=[load.pk]), TAKEN_OUT, follow=True)
    told = said(page)[0]
    assert told.startswith("Taken out: Suppression capacitor, Behind the ceiling rose.")
    assert said(browse.post(reverse("undo"), undo_button(page), follow=True)) == [f"Taken back: “{told}”"]
    load.refresh_from_db()
    assert (load.state, load.taken_out_on, load.taken_out_by) == (LoadState.IN_PLACE, None, "")
    told = [(row.history_change_reason, row.history_user) for row in load.history.order_by("-history_id")[:2]]
    assert told == [("Taken back", member), ("Taken out", member)]


def test_a_suspicion_ruled_out_comes_back_under_its_own_address(browse, load):
    ParallelLoad.objects.update(state=LoadState.SUSPECTED)
    page = browse.post(reverse("load_confirm", args=[load.pk]), NOT_THERE, follow=True)
    assert not ParallelLoad.objects.exists()
    browse.post(reverse("undo"), undo_button(page))
    assert ParallelLoad.objects.get().pk == load.pk
    assert browse.get(reverse("load", args=[load.pk])).status_code == 200


@pytest.mark.parametrize("has_record", [True, False])
def test_a_circuit_retired_or_removed_is_back_on_its_way(browse, load, has_record):
    circuit = load.circuit if has_record else CircuitFactory(board=load.circuit.board, way="S9")
    page = browse.post(
        reverse("circuit_retire", args=[circuit.pk]), {"retired_on": "2026-11-25"}, follow=True
    )
    assert not Circuit.objects.in_use().filter(pk=circuit.pk).exists()
    browse.post(reverse("undo"), undo_button(page))
    assert Circuit.objects.in_use().get(pk=circuit.pk).way == circuit.way


def test_a_removed_filter_is_saved_again(browse, member):
    row = SavedFilter.objects.create(
        firm=member.firm, question="loads-in-the-way", name="Hall", saved_by=member
    )
    page = browse.post(reverse("audit_forget", args=[row.pk]), follow=True)
    browse.post(reverse("undo"), undo_button(page))
    assert SavedFilter.objects.get().name == "Hall"


def test_a_link_ended_by_mistake_opens_the_report_again(browse, member):
    record = issued(ready_visit(InstallationFactory(client__firm=member.firm)))
    link = ClientLinkFactory(record=record, expires_on=date(2026, 12, 24))
    page = browse.post(reverse("client_link_end", args=[link.pk]), follow=True)
    assert not ClientLink.objects.open_on(date(2026, 11, 25)).exists()
    browse.post(reverse("undo"), undo_button(page))
    assert ClientLink.objects.open_on(date(2026, 11, 25)).get() == link


def test_an_observation_noted_as_put_right_is_open_again(browse, member, load):
    observation = ObservationFactory(inspection__installation=load.circuit.board.installation)
    address = reverse("observation_put_right", args=[observation.pk])
    page = browse.post(address, {"put_right_on": "2026-11-25", "put_right_by": "Noor Farrow"}, follow=True)
    browse.post(reverse("undo"), undo_button(page))
    observation.refresh_from_db()
    assert observation.put_right_on is None


def test_nothing_is_taken_back_over_what_was_done_since(browse, load):
    page = browse.post(reverse("load_disconnect", args=[load.pk]), {"on": "2026-11-25"}, follow=True)
    browse.post(reverse("load_put_back", args=[load.pk]), {"on": "2026-11-25"})
    told = said(browse.post(reverse("undo"), undo_button(page), follow=True))
    assert "It has been changed again since" in told[-1]
    load.refresh_from_db()
    assert load.state == LoadState.IN_PLACE


def test_a_way_that_is_taken_since_is_said_and_nothing_changed(browse, load):
    circuit = CircuitFactory(board=load.circuit.board, way="S9")
    page = browse.post(
        reverse("circuit_retire", args=[circuit.pk]), {"retired_on": "2026-11-25"}, follow=True
    )
    CircuitFactory(board=load.circuit.board, way="S9", description="Taken")
    told = said(browse.post(reverse("undo"), undo_button(page), follow=True))
    assert told == ["That way and phase of this board already has a circuit."]
    assert Circuit.objects.get(way="S9").description == "Taken"


@pytest.mark.parametrize("who", ["colleague", "stranger"])
def test_an_undo_is_for_whoever_did_it(browse, load, member, who):
    page = browse.post(reverse("load_take_out", args=[load.pk]), TAKEN_OUT, follow=True)
    other = Browser()
    other.force_login(MemberFactory(firm=member.firm) if who == "colleague" else MemberFactory())
    assert "too late" in said(other.post(reverse("undo"), undo_button(page), follow=True))[-1]
    load.refresh_from_db()
    assert load.state == LoadState.TAKEN_OUT


@pytest.mark.parametrize("sent", [{}, {"act": "made:up:here"}, {"act": "", "back": "https://example.com/"}])
def test_what_was_not_sealed_here_does_nothing_and_leads_nowhere_else(browse, sent):
    page = browse.post(reverse("undo"), sent)
    assert page.url == reverse("today")


def test_an_undo_ends_after_a_quarter_of_an_hour(browse, load, time_machine):
    page = browse.post(reverse("load_take_out", args=[load.pk]), TAKEN_OUT, follow=True)
    time_machine.move_to("2026-11-25 12:16:00+00:00", tick=False)
    assert "too late" in said(browse.post(reverse("undo"), undo_button(page), follow=True))[-1]
