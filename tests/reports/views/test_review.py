"""The page of a report before it is issued, and the state on the page of the visit."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inspections.enums import InspectionStatus, Role
from reports.examination import Examination
from reports.kept_pdf import read
from reports.models import IssuedRecord, PointAnswer
from reports.points import points_of
from reports.services.correction import revise
from tests.factories import CircuitFactory, CircuitResultFactory, LimitationFactory, MemberFactory
from tests.reports.ready import LIGHTS, SOUND, in_review, issued, ready_inspection, ready_visit, supervisor_of

pytestmark = pytest.mark.django_db


def signed_in(member) -> Browser:
    browser = Browser()
    browser.force_login(member)
    return browser


def address(inspection, name="review"):
    return reverse(name, args=[inspection.pk])


def over_limit(inspection):
    result = inspection.results.get()
    result.zs = "9.00"
    result.save()
    return inspection


def page_of(inspection, member=None):
    response = signed_in(member or supervisor_of(inspection)).get(address(inspection))
    assert response.status_code == 200
    return response


def test_inspector_sends_it_with_a_note():
    inspection = ready_visit()

    response = signed_in(inspection.inspector).post(
        address(inspection), {"do": "send", "note": "Roof seen from below"}
    )

    assert response.url == address(inspection, "inspection")
    inspection.refresh_from_db()
    assert inspection.status == InspectionStatus.IN_REVIEW
    assert "Roof seen from below" in page_of(inspection).content.decode()


def test_draft_lists_what_stands_in_the_way_with_links():
    inspection = ready_visit()
    inspection.general_condition = ""
    inspection.save()

    page = page_of(inspection, inspection.inspector).content.decode()

    assert "The general condition is not written." in page
    assert f"{address(inspection, 'inspection_change')}#id_general_condition" in page


def test_no_outcome_is_said_while_something_waits():
    assert "No outcome yet." in page_of(over_limit(ready_visit())).text
    ready = page_of(ready_visit()).text
    assert "No outcome yet" not in ready
    assert "Satisfactory: no observation is open." in ready


def test_supervisor_answers_a_point_and_issues():
    inspection = in_review(over_limit(ready_visit()))
    browser = signed_in(supervisor_of(inspection))
    points = points_of(Examination(inspection))
    answers = {f"answer:{point.key}": "Measured again" for point in points}

    response = browser.post(address(inspection), answers | {"do": "issue"})

    record = IssuedRecord.objects.get()
    assert response.url == reverse("record", args=[record.pk])
    assert read(record).startswith(b"%PDF-")
    assert PointAnswer.objects.count() == len(points) == 2


def test_refused_issue_says_how_much_stands_in_the_way_and_keeps_what_was_typed():
    inspection = in_review(over_limit(ready_visit()))
    first, _ = points_of(Examination(inspection))

    response = signed_in(supervisor_of(inspection)).post(
        address(inspection), {f"answer:{first.key}": "Measured again", "remarks": "so far", "do": "issue"}
    )

    page = response.content.decode()
    assert "It cannot be issued yet: 1 thing stands in the way." in page
    assert "so far" in page
    assert PointAnswer.objects.get().text == "Measured again"
    assert not IssuedRecord.objects.exists()


def test_supervisor_returns_it_and_the_visit_says_why():
    inspection = in_review()
    supervisor = supervisor_of(inspection)

    signed_in(supervisor).post(address(inspection), {"do": "return", "remarks": "DB1/1 again"})

    page = signed_in(inspection.inspector).get(address(inspection, "inspection")).content.decode()
    assert f"Returned by {supervisor.name}" in page
    assert "DB1/1 again" in page


def test_returned_without_remarks_is_explained_on_the_page():
    inspection = in_review()

    response = signed_in(supervisor_of(inspection)).post(address(inspection), {"do": "return", "remarks": ""})

    assert response.context["problems"] == ["Say what is to be put right."]
    inspection.refresh_from_db()
    assert inspection.status == InspectionStatus.IN_REVIEW


@pytest.mark.parametrize("role", [Role.INSPECTOR, Role.ELECTRICIAN, Role.OFFICE])
@pytest.mark.parametrize("do", ["issue", "return", "answer"])
def test_only_a_supervisor_does_what_a_supervisor_does(role, do):
    inspection = in_review()
    member = MemberFactory(firm=inspection.installation.firm, role=role)
    browser = signed_in(member)

    response = browser.post(address(inspection), {"do": do, "remarks": "x"})

    assert response.status_code == 403
    assert "supervisor" in response.content.decode()
    page = browser.get(address(inspection)).content.decode()
    assert 'value="issue"' not in page
    inspection.refresh_from_db()
    assert inspection.status == InspectionStatus.IN_REVIEW


@pytest.mark.parametrize("name", ["review", "correction"])
def test_stranger_finds_nothing(name):
    inspection = in_review()
    stranger = signed_in(MemberFactory(role=Role.SUPERVISOR))

    assert stranger.get(address(inspection, name)).status_code == 404
    assert stranger.post(address(inspection, name), {"do": "issue"}).status_code == 404
    inspection.refresh_from_db()
    assert inspection.status == InspectionStatus.IN_REVIEW


def test_doing_what_is_unknown_is_explained():
    inspection = in_review()
    response = signed_in(supervisor_of(inspection)).post(address(inspection), {"do": "burn"})
    assert response.context["problems"] == ["Choose what to do with it."]


def test_answer_to_what_changed_meanwhile_is_explained():
    inspection = in_review()
    response = signed_in(supervisor_of(inspection)).post(address(inspection), {"answer:finding x": "y"})
    assert "is no longer there" in response.context["problems"][0]


def test_page_shows_how_long_a_limitation_has_stood_and_its_lims():
    inspection = ready_visit()
    circuit = inspection.results.get().circuit
    earlier = LimitationFactory(inspection__installation=inspection.installation, is_standing=True)
    LimitationFactory(
        inspection=inspection, circuits=[circuit], tests=["zs"], carried_from=earlier,
        standing_answer="kept", is_standing=True,
    )  # fmt: skip
    result = inspection.results.get()
    result.zs = "LIM"
    result.save()

    (row,) = page_of(inspection).context["not_tested"]

    assert (row["lims"], row["visits"]) == (1, 2)


def test_page_shows_what_changed_since_the_last_visit():
    first = issued()
    inspection = ready_visit_again(first.inspection)
    circuit = first.inspection.results.get().circuit
    circuit.points = 9
    circuit.save()

    changes = dict(page_of(inspection).context["changes"])

    assert [change.words for change in changes["DB1/1"]] == ["Points: 9, not there before"]


def ready_visit_again(earlier):
    later = ready_inspection(earlier.installation, based_on=earlier)
    CircuitResultFactory(inspection=later, circuit=earlier.results.get().circuit, **SOUND)
    return later


def test_an_issued_visit_leads_to_its_record_and_to_a_correction_by_a_supervisor():
    record = issued()
    inspection = record.inspection

    def page(member):
        return signed_in(member).get(address(inspection, "inspection")).content.decode()

    link = reverse("record", args=[record.pk])
    inspector = MemberFactory(firm=inspection.installation.firm, role=Role.INSPECTOR)
    assert link in page(inspector)
    assert address(inspection, "correction") not in page(inspector)
    assert address(inspection, "correction") in page(supervisor_of(inspection))
    assert signed_in(inspection.inspector).get(address(inspection)).url == address(inspection, "inspection")


def test_correction_opens_the_visit_again_and_says_so():
    record = issued()
    inspection = record.inspection
    browser = signed_in(supervisor_of(inspection))

    refused = browser.post(address(inspection, "correction"), {"what_changed": ""})
    browser.post(address(inspection, "correction"), {"what_changed": "The condition"})

    assert list(refused.context["form"].errors) == ["what_changed"]
    inspection.refresh_from_db()
    assert inspection.is_open
    page = browser.get(address(inspection, "inspection")).content.decode()
    assert "Open to correct No. 1" in page
    assert "The condition" in page


def test_correction_by_an_inspector_is_not_allowed():
    record = issued()
    inspector = MemberFactory(firm=record.firm, role=Role.INSPECTOR)
    response = signed_in(inspector).post(address(record.inspection, "correction"), {"what_changed": "x"})
    assert response.status_code == 403


def test_review_of_a_correction_asks_what_changed():
    record = issued()
    inspection = record.inspection
    revise(inspection=inspection, what_changed="The condition", member=record.issued_by)
    inspection.refresh_from_db()
    in_review(inspection)
    browser = signed_in(record.issued_by)
    assert 'name="what_changed"' in browser.get(address(inspection)).content.decode()

    browser.post(address(inspection), {"do": "issue", "what_changed": "The condition, told anew"})

    assert IssuedRecord.objects.first().what_changed == "The condition, told anew"


@pytest.mark.parametrize("circuits", [1, 3])
def test_number_of_queries_does_not_grow(circuits, django_assert_num_queries):
    inspection = in_review(over_limit(ready_visit()))
    board = inspection.installation.boards.get()
    for way in range(circuits):
        circuit = CircuitFactory(board=board, way=str(way + 2), **LIGHTS)
        CircuitResultFactory(inspection=inspection, circuit=circuit, **SOUND | {"zs": "9.00"})
        LimitationFactory(inspection=inspection, circuits=[circuit])
    browser = signed_in(supervisor_of(inspection))
    with django_assert_num_queries(31):
        browser.get(address(inspection))
