"""Opening another firm’s report: sent, looked at, brought in or dropped."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse

from inspections.models import Installation
from reports.intake.read import PROBLEMS
from reports.intake.uploads import RecordUpload
from reports.report.draw import draw_report
from tests.factories import MemberFactory
from tests.reports.report.contents import photos, record

pytestmark = pytest.mark.django_db

INTAKE = "/records/bring-in/"


@pytest.fixture
def member():
    return MemberFactory(firm__name="Oakley and Daughter")


@pytest.fixture
def browser(member):
    browser = Browser()
    browser.force_login(member)
    return browser


@pytest.fixture(scope="module")
def pdf():
    return draw_report(record(), photos())


def send(browser, content, name="report.pdf"):
    return browser.post(INTAKE, {"file": SimpleUploadedFile(name, content, "application/pdf")})


def test_report_is_kept_shown_and_brought_in(browser, member, pdf):
    response = send(browser, pdf)
    upload = RecordUpload.objects.get()
    preview = f"{INTAKE}{upload.pk}/"
    assert (response.status_code, response["Location"]) == (302, preview)
    page = browser.get(preview).content.decode()
    for said in (
        "No. 41 of Tidewell Electrical",
        "Nothing has been changed yet",
        "3 Weir Cottages",
        upload.sha256,
    ):
        assert said in page
    assert not Installation.objects.exists()
    response = browser.post(
        preview, {"client": "A. Wołek", "installation": "Weir Cottage 3", "bring_in": "1"}
    )
    installation = Installation.objects.get()
    assert response["Location"] == reverse("inspection", args=[installation.inspections.get().pk])
    assert (installation.name, installation.client.name, installation.firm) == (
        "Weir Cottage 3", "A. Wołek", member.firm,
    )  # fmt: skip
    assert browser.get(preview).status_code == 302
    assert (
        reverse("inspection", args=[installation.inspections.get().pk])
        in browser.get(INTAKE).content.decode()
    )


def test_names_can_be_changed_and_looked_at_again_without_bringing_it_in(browser, pdf):
    send(browser, pdf)
    preview = f"{INTAKE}{RecordUpload.objects.get().pk}/"
    response = browser.post(preview, {"client": "Other", "installation": "Other place"})
    assert response.status_code == 200
    assert "Other place" in response.content.decode()
    assert not Installation.objects.exists()


def test_name_left_empty_is_asked_for(browser, pdf):
    send(browser, pdf)
    preview = f"{INTAKE}{RecordUpload.objects.get().pk}/"
    response = browser.post(preview, {"client": "", "installation": "Place", "bring_in": "1"})
    assert "This is needed" in response.content.decode()
    assert not Installation.objects.exists()


def test_place_that_is_here_already_is_not_overwritten_and_the_page_says_so(browser, pdf):
    send(browser, pdf)
    preview = f"{INTAKE}{RecordUpload.objects.get().pk}/"
    browser.post(preview, {"client": "Agnès Wołek", "installation": "3 Weir Cottages", "bring_in": "1"})
    content = record()
    content["inspection"]["reason"] = "Another visit"
    send(browser, draw_report(content))
    other = RecordUpload.objects.get(committed_at=None)
    response = browser.get(f"{INTAKE}{other.pk}/")
    assert response.status_code == 409
    assert "Give the incoming one another name" in response.content.decode()
    assert Installation.objects.count() == 1


def test_dropped_report_leaves_nothing(browser, pdf):
    send(browser, pdf)
    assert browser.post(f"{INTAKE}{RecordUpload.objects.get().pk}/drop/").status_code == 302
    assert not RecordUpload.objects.not_dropped().exists()


def test_report_brought_in_cannot_be_dropped(browser, pdf):
    send(browser, pdf)
    upload = RecordUpload.objects.get()
    browser.post(f"{INTAKE}{upload.pk}/", {"client": "A", "installation": "B", "bring_in": "1"})
    browser.post(f"{INTAKE}{upload.pk}/drop/")
    assert RecordUpload.objects.get() == upload


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        (b"PK\x03\x04", "not-pdf"),
        (b"%PDF-1.7 nothing else", "damaged"),
        (bytes(10 * 1024 * 1024 + 1), "too-large"),
    ],
)
def test_file_that_brings_nothing_in_says_why(browser, content, problem):
    response = send(browser, content, "wrong.pdf")
    assert response.status_code == 422
    assert PROBLEMS[problem] in response.content.decode()
    assert not RecordUpload.objects.exists()


def test_form_sent_without_a_file_says_so(browser):
    response = browser.post(INTAKE, {})
    assert response.status_code == 422
    assert "Choose the PDF of a report first." in response.content.decode()


def test_stranger_finds_nothing(browser, pdf):
    send(browser, pdf)
    upload = RecordUpload.objects.get()
    stranger = Browser()
    stranger.force_login(MemberFactory())
    assert stranger.get(f"{INTAKE}{upload.pk}/").status_code == 404
    assert stranger.post(f"{INTAKE}{upload.pk}/drop/").status_code == 404
    assert upload.name not in stranger.get(INTAKE).content.decode()


def test_list_of_records_leads_here(browser):
    assert INTAKE in browser.get(reverse("records")).content.decode()
