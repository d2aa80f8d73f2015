"""No page offers what would be refused: every link, form and button on it is held to the one table."""

import pytest
from django.test import Client as Browser
from django.urls import resolve

from config.guard import refusal
from config.permissions import INSPECTOR, OPEN, READ, WRITE
from inspections.enums import InspectionStatus, Role
from inspections.models import Inspection
from tests.config.addresses import address, patterns, rows_of
from tests.config.offered import offers_of
from tests.factories import FirmFactory, MemberFactory
from tests.factories.sample import browser_in, small_sample

pytestmark = pytest.mark.django_db

ABOUT_A_VISIT = {"inspection", "results_grid", "findings", "visual_items", "review"}


def refused_offers(member, rows, only=None):
    """What pages that the member may look at offer in vain: (page, method, what is offered)."""
    if member.is_in_sample:
        browser = browser_in(member.firm, member.role)
    else:
        browser = Browser()
        browser.force_login(member)
    seen, wrong = 0, set()
    for pattern in patterns():
        line = READ.get(pattern.name)
        if line is None or member.role not in line.who or (only and pattern.name not in only):
            continue
        where, _ = address(pattern, rows)
        page = browser.get(where)
        if page.status_code not in (200, 409) or not page["Content-Type"].startswith("text/html"):
            continue
        seen += 1
        for method, offered in offers_of(page.text, where):
            match = resolve(offered)
            if match.url_name in OPEN:
                continue
            line = (READ if method == "get" else WRITE).get(match.url_name)
            if line is None or refusal(member, match, line):
                wrong.add((pattern.name, method, match.url_name))
    return seen, wrong


@pytest.mark.parametrize("role", Role)
def test_no_page_offers_what_would_be_refused(role):
    member = MemberFactory(role=role)

    seen, wrong = refused_offers(member, rows_of(member))

    assert sorted(wrong) == []
    assert seen > 45


def test_pages_of_a_colleagues_visit_offer_an_inspector_no_more_than_is_allowed():
    member = MemberFactory(role=INSPECTOR)
    rows = rows_of(MemberFactory(firm=member.firm, role=INSPECTOR))

    seen, wrong = refused_offers(member, rows)

    assert sorted(wrong) == []
    assert seen > 45


@pytest.mark.parametrize("role", Role)
def test_no_page_of_a_sample_offers_what_would_be_refused_there(role):
    member = small_sample(MemberFactory()).members.get(role=role)

    seen, wrong = refused_offers(member, rows_of(member))

    assert sorted(wrong) == []
    assert seen > 40


# An issued visit has its record, and no page of a review.
@pytest.mark.parametrize(("status", "pages"), [(InspectionStatus.IN_REVIEW, 5), (InspectionStatus.ISSUED, 4)])
@pytest.mark.parametrize("role", Role)
def test_pages_of_a_visit_offer_what_is_allowed_when_it_is_no_longer_open(role, status, pages):
    member = MemberFactory(role=role)
    rows = rows_of(member)
    Inspection.objects.filter(pk=rows["inspection"].pk).update(status=status)

    seen, wrong = refused_offers(member, rows, ABOUT_A_VISIT)

    assert sorted(wrong) == []
    assert seen == pages


@pytest.mark.parametrize("role", Role)
def test_a_firm_with_nothing_yet_is_offered_what_each_may_begin_with(role):
    browser = Browser()
    member = MemberFactory(role=role, firm=FirmFactory())
    browser.force_login(member)
    for name in ("", "clients/", "installations/", "instruments/", "records/", "loads/", "audit/"):
        page = browser.get(f"/{name}")
        for method, offered in offers_of(page.text, f"/{name}"):
            match = resolve(offered)
            if match.url_name not in OPEN:
                line = (READ if method == "get" else WRITE)[match.url_name]
                assert not refusal(member, match, line), (name, match.url_name)
