"""A visit from draft to review, back with remarks, to review again, issued, and its record downloaded."""

import hashlib

import pytest
from django.urls import reverse

from inspections.enums import Role
from reports.models import IssuedRecord
from tests.factories import MemberFactory
from tests.reports.ready import ready_visit

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def visit():
    inspection = ready_visit(general_condition="")
    result = inspection.results.get()
    result.zs = "9.00"  # a 6 A type B breaker allows 7.28 Ω (BS 7671 Table 41.3)
    result.save()
    return inspection


@pytest.fixture
def supervisor(visit):
    return MemberFactory(firm=visit.installation.firm, role=Role.SUPERVISOR, name="Morag Tidewell")


def open_visit(page, sign_in, visit, member):
    sign_in(page, member)
    page.goto(reverse("inspection", args=[visit.pk]))


def test_visit_is_reviewed_returned_put_right_and_issued(page, sign_in, visit, supervisor):
    open_visit(page, sign_in, visit, visit.inspector)
    page.get_by_role("link", name="Send for review").click()
    assert "The general condition is not written." in page.inner_text("main")
    page.get_by_label("For the reviewer").fill("Condition to be agreed")
    page.get_by_role("button", name="Send for review").click()
    assert "A supervisor returns or issues it." in page.inner_text(".report-state")

    open_visit(page, sign_in, visit, supervisor)
    page.get_by_role("link", name="Review it").click()
    assert "Condition to be agreed" in page.inner_text("main")
    page.get_by_role("button", name="Return with remarks").click()
    assert "Say what is to be put right." in page.inner_text("[role=alert]")
    page.get_by_label("Remarks, if it is returned").fill("Write the condition")
    page.get_by_role("button", name="Return with remarks").click()
    assert "Returned" in page.inner_text(".messages")

    open_visit(page, sign_in, visit, visit.inspector)
    assert "Write the condition" in page.inner_text(".report-state")
    page.get_by_role("link", name="Send for review").click()
    page.get_by_role("link", name="Write it").click()
    page.get_by_label("General condition").fill("Fair for its age")
    page.get_by_role("button", name="Save").click()
    page.get_by_role("link", name="Send for review").click()
    assert "The general condition is not written." not in page.inner_text("main")
    page.get_by_role("button", name="Send for review").click()

    open_visit(page, sign_in, visit, supervisor)
    page.get_by_role("link", name="Review it").click()
    page.get_by_role("button", name="Issue").click()
    assert "It cannot be issued yet: 2 things stand in the way." in page.inner_text("[role=alert]")
    for field in page.get_by_label("Your answer").all():
        field.fill("Measured again; the upper floor is fed by a longer cable than drawn")
    page.get_by_role("button", name="Issue").click()
    assert page.inner_text("h1") == "No. 1"

    record = IssuedRecord.objects.get()
    assert record.sha256 in page.inner_text("main")
    assert page.get_by_role("link", name="Report (PDF)").is_visible()
    with page.expect_download() as download:
        page.get_by_role("link", name="Content (JSON)").click()
    content = download.value.path().read_bytes()
    assert hashlib.sha256(content).hexdigest() == record.sha256
    assert b"Fair for its age" in content


def test_points_and_actions_fit_a_phone(page, sign_in, visit, supervisor):
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, visit.inspector)
    page.goto(reverse("review", args=[visit.pk]))
    page.get_by_role("button", name="Send for review").click()
    sign_in(page, supervisor)
    for address in (reverse("review", args=[visit.pk]), reverse("inspection", args=[visit.pk])):
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth") == 390
