"""Issued records: the lists, one record, its files."""

import hashlib

import pytest
from django.test import Client as Browser
from django.urls import reverse

from reports.models import IssuedRecord
from reports.services.correction import revise
from reports.services.pdf import add_pdf
from tests.factories import InstallationFactory, MemberFactory
from tests.reports.ready import issued, ready_visit

pytestmark = pytest.mark.django_db


def signed_in(member) -> Browser:
    browser = Browser()
    browser.force_login(member)
    return browser


@pytest.fixture
def record():
    return issued()


@pytest.fixture
def inside(record):
    return signed_in(record.inspection.inspector)


def corrected(record):
    revise(inspection=record.inspection, what_changed="A name", member=record.issued_by)
    record.inspection.refresh_from_db()
    return issued(record.inspection)


def test_json_is_what_was_hashed_to_the_byte(record, inside):
    response = inside.get(reverse("record_json", args=[record.pk]))
    assert hashlib.sha256(response.content).hexdigest() == record.sha256
    assert response["Content-Type"] == "application/json"
    assert response["Content-Disposition"].endswith('-1.json"')


def test_pdf_is_there_once_it_was_drawn(record, inside):
    address = reverse("record_pdf", args=[record.pk])
    assert inside.get(address).status_code == 404

    inside.post(address)

    record.refresh_from_db()
    drawn = inside.get(address).content
    assert drawn.startswith(b"%PDF-")
    assert hashlib.sha256(drawn).hexdigest() == record.pdf_sha256
    inside.post(address)  # a second time draws nothing
    assert inside.get(address).content == drawn


def test_record_says_its_hash_its_outcome_and_that_it_holds(record, inside):
    page = inside.get(reverse("record", args=[record.pk])).content.decode()
    assert record.sha256 in page
    assert "Satisfactory: no observation is open." in page
    assert "passed, just now" in page
    assert "3 Nov 2030" in page


def test_record_leads_along_the_chain_and_to_its_revisions(record, inside):
    other = issued(ready_visit(InstallationFactory(client=record.inspection.installation.client)))
    second = corrected(record)
    former, between, latest = (
        inside.get(reverse("record", args=[row.pk])) for row in (record, other, second)
    )
    assert (former.context["before"], former.context["after"]) == (None, other)
    assert (between.context["before"], between.context["after"]) == (record, second)
    assert former.context["revisions"] == [second]
    assert "A later revision has replaced it" in former.content.decode()
    assert "A later revision" not in latest.content.decode()
    assert "What this revision changed" in latest.content.decode()


@pytest.mark.parametrize("name", ["record", "record_json", "record_pdf"])
def test_stranger_finds_nothing(record, name):
    add_pdf(record=record, pdf=b"%PDF-1.7 drawn")
    address = reverse(name, args=[record.pk])
    assert signed_in(MemberFactory()).get(address).status_code == 404
    assert Browser().get(address).status_code == 302


def test_records_of_an_installation_are_not_found_by_a_stranger(record):
    address = reverse("installation_records", args=[record.inspection.installation_id])
    assert signed_in(MemberFactory()).get(address).status_code == 404


def test_lists_hold_the_firms_own_records_latest_first(record, inside):
    second = corrected(record)
    other_place = issued(ready_visit(InstallationFactory(client=record.inspection.installation.client)))
    issued()  # of another firm

    everything = inside.get(reverse("records")).context["page"].object_list
    of_place = (
        inside.get(reverse("installation_records", args=[record.inspection.installation_id]))
        .context["page"]
        .object_list
    )

    assert list(everything) == [other_place, second, record]
    assert list(of_place) == [second, record]


def test_empty_list_says_what_to_do_first():
    page = signed_in(MemberFactory()).get(reverse("records")).content.decode()
    assert "Send a visit for review" in page


@pytest.mark.parametrize("count", [1, 3])
def test_number_of_queries_of_the_list_does_not_grow(count, django_assert_num_queries):
    first = issued()
    client = first.inspection.installation.client
    for _ in range(count - 1):
        issued(ready_visit(InstallationFactory(client=client)))
    browser = signed_in(first.issued_by)
    with django_assert_num_queries(5):
        page = browser.get(reverse("records"))
    assert len(page.context["page"].object_list) == count == IssuedRecord.objects.count()
