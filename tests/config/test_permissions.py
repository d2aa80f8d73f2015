"""Every address, asked as every role, unsigned, and about another firm's rows, beside the one table."""

import time
from copy import deepcopy
from pathlib import Path

import pytest
from django.contrib.auth.models import AnonymousUser
from django.db import transaction
from django.test import Client as Browser
from django.urls import reverse

from config import guard, permissions
from config.permissions import INSPECTOR, OFFICE, OPEN, READ, SUPERVISOR, TABLE, WRITE
from inspections.enums import Role
from inspections.models import Client
from tests.config.addresses import address, patterns, rows_of
from tests.factories import MemberFactory
from tests.factories.sample import small_sample

ROOT = Path(__file__).parents[2]
PATTERNS = {pattern.name: pattern for pattern in patterns()}
METHODS = {"get": READ, "post": WRITE}
CLOSED = {name: pattern for name, pattern in PATTERNS.items() if name not in OPEN}
NOT_MADE = {"load_photo", "observation_photo", "record_pdf"}  # not there in a row of the factories
POSTED = {"review": {"do": "send"}}  # what a form says of itself, where one address takes several
every_role = pytest.mark.parametrize("role", Role)


def ask(browser, method, where, posted=None):
    """The answer, of which nothing stays, nor who is signed in."""
    cookies = deepcopy(browser.cookies)
    with transaction.atomic():
        response = getattr(browser, method)(where, posted)
        transaction.set_rollback(True)
    browser.cookies = cookies
    return response


def signed_in(member):
    """A browser in which the member has just given the password once more, as changes of a sign-in ask."""
    browser = Browser()
    browser.force_login(member)
    session = browser.session
    session["account_authentication_methods"] = [
        {"method": "password", "at": time.time(), "reauthenticated": True}
    ]
    session["account_authentication_methods_user"] = str(member.pk)
    session.save()
    return browser


def answers(member, rows):
    """What the member is answered at every address about ``rows``: (address's name, method, status)."""
    browser = signed_in(member)
    small_sample(member)  # so that going there makes none
    for name, pattern in CLOSED.items():
        where, names_a_row = address(pattern, rows)
        for method in METHODS:
            posted = POSTED.get(name) if method == "post" else None
            yield name, method, ask(browser, method, where, posted).status_code, names_a_row


def refusal(name, method, role):
    """The status with which the table refuses, or None where it lets pass."""
    line = METHODS[method].get(name)
    if line is None:
        return 405
    return None if role in line.who else 403


def test_every_address_stands_in_the_table_and_nothing_else_does():
    assert {*READ, *WRITE, *OPEN} == set(PATTERNS)


def test_an_address_stands_once_for_each_way_it_is_used():
    reads = [name for line in TABLE for name in (*line.reads, *line.forms)]
    writes = [name for line in TABLE for name in (*line.forms, *line.posts)]
    assert (len(set(reads)), len(set(writes))) == (len(reads), len(writes))


@pytest.mark.django_db
@every_role
def test_a_role_may_do_with_its_own_firms_rows_what_the_table_says(role):
    member = MemberFactory(role=role)
    wrong = []
    for name, method, status, _ in answers(member, rows_of(member)):
        refused = refusal(name, method, role)
        passed = {200, 302, 409, 422} | ({404} if name in NOT_MADE else set())
        if status not in ({refused} if refused else passed):
            wrong.append((method, name, status, refused))
    assert wrong == []


@pytest.mark.django_db
@every_role
def test_another_firms_rows_are_not_found_whatever_the_role(role):
    rows = rows_of(MemberFactory())
    wrong = []
    for name, method, status, names_a_row in answers(MemberFactory(role=role), rows):
        expected = refusal(name, method, role) or 404
        if names_a_row and status != expected:
            wrong.append((method, name, status, expected))
    assert wrong == []


@pytest.mark.django_db
def test_whoever_is_not_signed_in_is_asked_to_at_every_address():
    rows = rows_of(MemberFactory())
    wrong = []
    for name, pattern in CLOSED.items():
        where, _ = address(pattern, rows)
        for method in METHODS:
            response = ask(Browser(), method, where)
            if response.status_code != 302 or not response.url.startswith(reverse("account_login")):
                wrong.append((method, name, response.status_code))
    assert wrong == []


@pytest.mark.django_db
def test_an_inspector_enters_what_was_found_at_own_visits_alone():
    member = MemberFactory(role=INSPECTOR)
    colleague = MemberFactory(firm=member.firm, role=INSPECTOR)
    rows = rows_of(colleague)
    of_own_visit = {name for line in TABLE if line.own_visit for name in (*line.forms, *line.posts)}
    asked = {
        name: status
        for name, method, status, _ in answers(member, rows)
        if name in of_own_visit and method == "post"
    }
    assert asked == dict.fromkeys(of_own_visit, 403)


@pytest.mark.django_db
def test_an_address_in_no_line_is_refused_even_to_a_supervisor(monkeypatch):
    monkeypatch.delitem(permissions.READ, "clients")
    browser = Browser()
    browser.force_login(MemberFactory(role=SUPERVISOR))

    response = browser.get(reverse("clients"))

    assert response.status_code == 403
    assert guard.NO_LINE in response.text


@pytest.mark.django_db
def test_a_refusal_is_a_page_that_says_who_may_and_nothing_is_kept():
    browser = Browser()
    browser.force_login(MemberFactory(role=INSPECTOR))

    response = browser.post(reverse("client_add"), {"name": "Larkfield Estate"})

    assert response.status_code == 403
    assert "Only the office or supervisor may keep clients." in response.text
    assert not Client.objects.exists()


@pytest.mark.django_db
def test_a_control_that_is_not_for_a_role_is_not_offered_to_it():
    def page(role):
        browser = Browser()
        browser.force_login(MemberFactory(role=role))
        return browser.get(reverse("clients")).text

    assert reverse("client_add") in page(OFFICE)
    assert reverse("client_add") not in page(INSPECTOR)


@pytest.mark.django_db
@pytest.mark.parametrize(("role", "closed"), [(SUPERVISOR, False), (INSPECTOR, True), (OFFICE, True)])
def test_the_pages_of_a_colleagues_visit_are_closed_to_whoever_may_not_save_them(role, closed):
    rows = rows_of(MemberFactory(role=INSPECTOR))
    browser = Browser()
    browser.force_login(MemberFactory(firm=rows["client"].firm, role=role))

    grid = browser.get(reverse("results_grid", args=[rows["inspection"].pk, rows["board"].pk])).text
    visual = browser.get(reverse("visual_items", args=[rows["inspection"].pk])).text

    assert ('<fieldset class="grid-all" disabled>' in grid) is closed
    assert ('<fieldset class="visual-all" disabled>' in visual) is closed


def test_whoever_is_not_signed_in_is_offered_nothing():
    assert not guard.May(AnonymousUser())["clients"]


@pytest.mark.django_db
def test_the_page_and_the_guide_show_the_table():
    browser = Browser()
    browser.force_login(MemberFactory(role=OFFICE))
    page = browser.get(reverse("who_may")).text
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")

    assert [line.what for line in TABLE if line.what not in page] == []
    assert guard.as_markdown() in guide
