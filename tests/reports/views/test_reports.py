"""What is drawn from the record as it stands, and who may see it."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from tests.factories import (
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    LimitationFactory,
    MemberFactory,
    ObservationFactory,
)
from tests.reports.pdf.reading_back import page_texts

pytestmark = pytest.mark.django_db

NAMES = ["report_preview", "visit_pack", "remedial_report"]


@pytest.fixture
def inspection():
    inspection = InspectionFactory(installation__name="Larkfield Hall")
    board = BoardFactory(installation=inspection.installation, designation="DB1")
    circuit = CircuitFactory(board=board, way="3", description="Foyer lights")
    CircuitResultFactory(inspection=inspection, circuit=circuit, zs="0.55")
    ObservationFactory(inspection=inspection, board=board, text="Cover loose", code="C2")
    LimitationFactory(inspection=inspection, reason="Bells may not be stopped", is_standing=True)
    return inspection


def signed_in(member) -> Browser:
    browser = Browser()
    browser.force_login(member)
    return browser


@pytest.mark.parametrize("name", NAMES)
def test_pdf_is_shown_under_the_name_of_the_place(name, inspection):
    response = signed_in(inspection.inspector).get(reverse(name, args=[inspection.pk]))
    assert response.status_code == 200
    assert response["Content-Type"] == "application/pdf"
    assert 'inline; filename="larkfield-hall-2026-11-03-' in response["Content-Disposition"]
    assert "Larkfield Hall" in "".join(page_texts(response.content))


@pytest.mark.parametrize("name", NAMES)
def test_stranger_finds_nothing(name, inspection):
    assert signed_in(MemberFactory()).get(reverse(name, args=[inspection.pk])).status_code == 404


@pytest.mark.parametrize("name", NAMES)
def test_nobody_is_asked_to_sign_in(name, inspection):
    response = Browser().get(reverse(name, args=[inspection.pk]))
    assert response.status_code == 302
    assert reverse("account_login") in response["Location"]


@pytest.mark.parametrize("name", NAMES)
def test_nothing_changes_by_a_post(name, inspection):
    assert signed_in(inspection.inspector).post(reverse(name, args=[inspection.pk])).status_code == 405


def test_report_of_a_visit_that_is_not_issued_is_a_draft_on_every_page(inspection):
    response = signed_in(inspection.inspector).get(reverse("report_preview", args=[inspection.pk]))
    for text in page_texts(response.content):
        assert "draft, not issued" in text.casefold()


def test_page_of_the_visit_leads_to_what_can_be_printed(inspection):
    page = signed_in(inspection.inspector).get(reverse("inspection", args=[inspection.pk])).content.decode()
    for name in NAMES:
        assert reverse(name, args=[inspection.pk]) in page
