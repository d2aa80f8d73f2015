"""“Undo” after an act: what was done is taken back by whoever did it, and not over what others did."""

import re
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse

from inspections.enums import InspectionStatus, Role, StandingAnswer
from inspections.models import Circuit, CircuitResult, Upload
from inspections.services.results import TypedRow, record_results
from remedies.enums import LoadState
from remedies.models import ParallelLoad
from reports.links.tables import ClientLink
from reports.models import SavedFilter
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    ClientLinkFactory,
    InspectionFactory,
    InstallationFactory,
    LimitationFactory,
    MemberFactory,
    ObservationFactory,
    ParallelLoadFactory,
    UploadFactory,
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
    assert said(page)[0].startswith("Taken out: Suppression capacitor, Behind the ceiling rose.")
    assert said(browse.post(reverse("undo"), undo_button(page), follow=True)) == [
        "Undone: “Taken out: Suppression capacitor, Behind the ceiling rose”."
    ]
    load.refresh_from_db()
    assert (load.state, load.taken_out_on, load.taken_out_by) == (LoadState.IN_PLACE, None, "")
    told = [(row.history_change_reason, row.history_user) for row in load.history.order_by("-history_id")[:2]]
    assert told == [("Undone", member), ("Taken out", member)]


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


def take_back(browse, page):
    """Press Undo: where it leads, and what is said there."""
    answer = browse.post(reverse("undo"), undo_button(page), follow=True)
    return answer.redirect_chain[-1][0], said(answer)[-1]


@pytest.fixture
def copied(browse, load):
    """The page after two circuits were copied to an empty board, and that board."""
    source = BoardFactory(installation=load.circuit.board.installation)
    target = BoardFactory(installation=source.installation)
    CircuitFactory.create_batch(2, board=source)
    copy = reverse("board_copy_circuits", args=[target.pk])
    return browse.post(copy, {"source": source.pk}, follow=True), target


def test_of_an_act_nothing_is_taken_back_where_one_row_was_changed_since(browse, copied):
    page, target = copied
    circuit = target.circuits.first()
    browse.post(reverse("circuit_retire", args=[circuit.pk]), {"retired_on": "2026-11-25"})
    assert "changed again since" in take_back(browse, page)[1]
    assert target.circuits.count() == 1


def test_a_row_that_something_hangs_on_since_stays_and_so_do_the_others(browse, copied):
    page, target = copied
    CircuitResultFactory(circuit=target.circuits.first())
    assert "changed again since" in take_back(browse, page)[1]
    assert target.circuits.count() == 2


def test_undo_of_what_was_made_leads_to_where_it_began(browse, load):
    circuit = load.circuit
    typed = {"kind": "neon", "count": 1, "place": "Rose", "since": "2026-11-25", "connection": "L-N"}
    page = browse.post(reverse("load_add", args=[circuit.pk]), typed | {"known": "found"}, follow=True)
    assert take_back(browse, page) == (
        reverse("circuit", args=[circuit.pk]),
        "Undone: “Recorded: Neon with series resistor, Rose”.",
    )
    assert circuit.parallel_loads.get() == load


@pytest.fixture
def carried(load):
    """A limitation carried over from the former visit, to be answered."""
    place = load.circuit.board.installation
    former = InspectionFactory(installation=place, started_on=date(2021, 11, 3))
    return LimitationFactory(
        inspection__installation=place,
        carried_from=LimitationFactory(inspection=former),
        standing_answer=StandingAnswer.PENDING,
    )


@pytest.mark.parametrize("status", [InspectionStatus.IN_REVIEW, InspectionStatus.ISSUED])
def test_nothing_is_taken_back_of_a_visit_that_moved_on(browse, carried, status):
    page = browse.post(reverse("limitation_answer", args=[carried.pk]), {"answer": "lifted"}, follow=True)
    visit = carried.inspection
    visit.status = status
    visit.save()
    assert f"The visit is {status.label.lower()} now" in take_back(browse, page)[1]
    carried.refresh_from_db()
    assert carried.standing_answer == StandingAnswer.LIFTED


def test_an_observation_of_an_issued_visit_put_right_is_open_again(browse, member):
    visit = ready_visit(InstallationFactory(client__firm=member.firm))
    observation = ObservationFactory(inspection=visit, code="C3")
    issued(visit)
    address = reverse("observation_put_right", args=[observation.pk])
    page = browse.post(address, {"put_right_on": "2026-11-25", "put_right_by": "Noor Farrow"}, follow=True)
    assert take_back(browse, page)[1].startswith("Undone")
    observation.refresh_from_db()
    assert observation.put_right_on is None


def test_whoever_may_do_it_no_more_does_not_take_it_back(browse, load, member):
    page = browse.post(reverse("load_take_out", args=[load.pk]), TAKEN_OUT, follow=True)
    member.role = Role.OFFICE
    member.save()
    assert "Only the inspector, electrician or supervisor may" in take_back(browse, page)[1]
    load.refresh_from_db()
    assert load.state == LoadState.TAKEN_OUT


def test_a_supervisor_who_gave_that_up_is_offered_no_undo(browse, member):
    other = MemberFactory(firm=member.firm, role=Role.SUPERVISOR)
    other.set_password("not used here")
    other.save()
    page = browse.post(reverse("member_role", args=[member.pk]), {"role": "office"}, follow=True)
    assert said(page) == [f"{member} is office now."]
    assert 'name="act"' not in page.text


def test_what_the_history_does_not_tell_is_not_guessed(browse, load):
    load.history.all().delete()
    page = browse.post(reverse("load_take_out", args=[load.pk]), TAKEN_OUT, follow=True)
    assert "does not show how it was before" in take_back(browse, page)[1]


def test_a_row_typed_anew_after_its_taking_back_is_no_row_that_a_device_has_seen(browse, load, member):
    """The device saw the row that was taken back, at the first version; another one stands there now."""
    visit = InspectionFactory(installation=load.circuit.board.installation)
    grid = reverse("results_grid", args=[visit.pk, load.circuit.board_id])
    row = f"{load.circuit_id}."
    page = browse.post(grid, {f"{row}version": 0, f"{row}zs": "0.70"}, follow=True)
    take_back(browse, page)
    assert not CircuitResult.objects.exists()
    browse.post(grid, {f"{row}version": 0, f"{row}zs": "0.80"})
    stale = TypedRow(load.circuit_id, 1, {"zs": "0.90"})
    (outcome,) = record_results(inspection=visit, rows=[stale], member=member)
    assert outcome.clashes == {"zs": ("0.80", "0.90")}


def test_a_file_is_forgotten_once_what_was_done_with_it_can_be_taken_back_no_more(
    browse, load, member, time_machine
):
    visit = InspectionFactory(installation=load.circuit.board.installation)
    dropped, brought_in = UploadFactory.create_batch(2, inspection=visit, content=b"way,Zs\n1,0.70\n")
    browse.post(reverse("intake_drop", args=[dropped.pk]))
    Upload.objects.filter(pk=brought_in.pk).update(committed_at="2026-11-25 12:00:00+00:00")

    def kept():
        sheet = SimpleUploadedFile("next.csv", b"way,Zs\n1,0.70\n")
        assert browse.post(reverse("intake", args=[visit.pk]), {"file": sheet}).status_code == 302
        earlier = Upload.objects.filter(pk__in=[dropped.pk, brought_in.pk])
        return {upload.pk: bool(upload.content) for upload in earlier}

    assert kept() == {dropped.pk: True, brought_in.pk: True}
    time_machine.move_to("2026-11-25 12:16:00+00:00", tick=False)
    assert kept() == {brought_in.pk: False}
