"""A client's link to one issued record: given, opened, expired, ended, and nothing else through it."""

import re
from datetime import date

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from inspections.enums import Role
from reports.kept_pdf import read
from reports.links.tables import ClientLink, LinkOpening, OpenedPart
from reports.services.correction import revise
from tests.config.offered import offers_of
from tests.factories import MemberFactory
from tests.reports.ready import issued

pytestmark = pytest.mark.django_db

GIVEN = {"given_to": "Larkfield Estate", "expires_on": "2026-12-31"}
DAY = "2026-11-25 12:00:00+00:00"


@pytest.fixture(autouse=True)
def on_a_day():
    with time_machine.travel(DAY, tick=False):
        yield


@pytest.fixture
def record():
    return issued()


@pytest.fixture
def inside(record):
    browser = Browser()
    browser.force_login(MemberFactory(firm=record.firm, role=Role.OFFICE))
    return browser


def give(inside, record, **changed):
    """The path that the page shows once."""
    page = inside.post(reverse("client_link_give", args=[record.pk]), GIVEN | changed)
    assert page["Cache-Control"] == "no-store"
    return re.search(r'value="http://testserver(/report/[^"]+)"', page.text)[1]


def test_whoever_holds_the_link_reads_the_report_and_its_pdf(record, inside):
    link = give(inside, record)
    client = Browser()

    page = client.get(link)

    assert page.status_code == 200
    assert record.inspection.installation.name in page.text
    assert record.read()["outcome"]["reason"] in page.text
    pdf = client.get(f"{link}report.pdf")
    record.refresh_from_db()
    assert pdf.content == read(record)
    for answer in (page, pdf):
        assert "noindex" in answer["X-Robots-Tag"]
        assert answer["Referrer-Policy"] == "no-referrer"
        assert answer["Cache-Control"] == "no-store"


def test_nothing_on_the_page_leads_into_the_program(record, inside):
    link = give(inside, record)
    for where in (link, "/report/none/"):
        page = Browser().get(where)
        assert offers_of(page.text, where) <= {("get", f"{link}report.pdf")}


def test_the_database_does_not_hold_the_link_and_no_two_are_alike(record, inside):
    first, second = give(inside, record), give(inside, record)
    token = first.split("/")[2]
    assert first != second
    assert len(token) >= 43  # 256 bits, six to a character
    assert token not in str(list(ClientLink.objects.values_list()))
    assert token not in str(list(ClientLink.history.values_list()))
    assert token not in inside.get(reverse("record", args=[record.pk])).text


def test_unknown_expired_and_ended_links_are_answered_alike(record, inside):
    expired = give(inside, record, expires_on="2026-11-25")
    ended = give(inside, record)
    inside.post(reverse("client_link_end", args=[ClientLink.objects.get(expires_on=date(2026, 12, 31)).pk]))
    assert Browser().get(expired).status_code == 200
    with time_machine.travel("2026-11-26 00:00:01+00:00", tick=False):
        answers = [
            Browser().get(f"{link}{file}")
            for link in ("/report/never-there/", expired, ended)
            for file in ("", "report.pdf")
        ]
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.text for answer in answers}) == 1
    assert "Ask that firm" in answers[0].text
    assert len({str(sorted(answer.headers.items())) for answer in answers}) == 1


def test_each_opening_is_kept_with_its_time_alone_and_shown_to_the_firm(record, inside):
    link = give(inside, record)
    Browser().get(link)
    with time_machine.travel("2026-11-26 08:15:00+00:00", tick=False):
        Browser().get(f"{link}report.pdf")
        Browser().get("/report/never-there/")

        page = inside.get(reverse("record", args=[record.pk])).text

    assert list(LinkOpening.objects.values_list("part", flat=True)) == [OpenedPart.REPORT, OpenedPart.SUMMARY]
    assert {field.name for field in LinkOpening._meta.fields} == {"id", "link", "part", "opened_at"}
    assert "Opened 2 times, last 26 Nov 2026, 08:15" in page


def test_a_revision_that_came_after_is_told(record, inside):
    link = give(inside, record)
    assert "later revision" not in Browser().get(link).text
    revise(inspection=record.inspection, what_changed="A name", member=record.issued_by)
    record.inspection.refresh_from_db()
    issued(record.inspection)

    assert "A later revision has replaced this report" in Browser().get(link).text


def test_a_day_that_has_passed_is_refused_and_what_was_typed_is_kept(record, inside):
    page = inside.post(
        reverse("client_link_give", args=[record.pk]), {"given_to": "The agent", "expires_on": "2026-11-24"}
    )
    assert page.context["form"].errors == {"expires_on": ["This day has passed. Choose one to come."]}
    assert 'value="The agent"' in page.text
    assert not ClientLink.objects.exists()


def test_ninety_days_are_proposed(record, inside):
    form = inside.get(reverse("client_link_give", args=[record.pk])).context["form"]
    assert form.initial["expires_on"] == date(2027, 2, 23)  # 25 November and 90 days, by the calendar


def test_who_gave_and_who_ended_it_is_kept(record, inside):
    give(inside, record)
    link = ClientLink.objects.get()
    inside.post(reverse("client_link_end", args=[link.pk]))
    inside.post(reverse("client_link_end", args=[link.pk]))

    ended, given = link.history.all()
    assert (given.history_change_reason, ended.history_change_reason) == ("Link given", "Link ended")
    assert given.history_user == ended.history_user == link.given_by
