"""What stands behind the question mark of an address, and what is typed into any form."""

import re
from html import unescape

import pytest
from django.http import QueryDict
from django.test import Client as Browser
from hypothesis import given
from hypothesis import strategies as st

from config.permissions import READ, WRITE
from inspections.enums import Role
from reports.audit.questions import QUESTIONS
from tests.config.addresses import GIVEN, address, patterns, rows_of
from tests.config.test_permissions import signed_in
from tests.factories import MemberFactory
from tests.fuzz.wild import examples, is_answer, nothing_stays, texts

pytestmark = pytest.mark.django_db
FIELD = re.compile(r'\bname="([^"]+)"')
GOES_ELSEWHERE = "sample_enter"  # whoever posts to it is another member afterwards
ASKED = ("q", "page", "kind", "state", "client", "place", "order", "after", "by", "choices", "from", "next")


@pytest.fixture
def member():
    return MemberFactory(role=Role.SUPERVISOR)


@pytest.fixture
def rows(member):
    return rows_of(member)


@pytest.fixture
def browser(member):
    return signed_in(member)


def addresses(names, rows):
    """Every address of these names; the audit's for each of its questions and kinds of file."""
    for pattern in patterns():
        if pattern.name in names:
            where, _ = address(pattern, rows)
            keys = QUESTIONS if GIVEN["key"] in where else [GIVEN["key"]]
            yield from (where.replace(GIVEN["key"], key) for key in keys)


def named(question):
    return [part.name for part in (*question.facets, *question.numbers)]


@examples(25)
@given(data=st.data())
def test_whatever_is_asked_of_a_page_is_answered(data, browser, rows):
    where = data.draw(st.sampled_from(list(addresses(READ, rows))))
    names = sorted({*ASKED, *(name for question in QUESTIONS.values() for name in named(question))})
    pairs = data.draw(st.lists(st.tuples(st.sampled_from(names), texts), max_size=6))
    query = QueryDict(mutable=True)
    for name, text in pairs:
        query.appendlist(name, text)
    with nothing_stays():
        assert is_answer(browser.get(f"{where}?{query.urlencode()}")), where


def fields_of(browser, where):
    """The names of what a page lets be typed or chosen."""
    page = browser.get(where)
    return sorted({unescape(name) for name in FIELD.findall(page.text)} if page.status_code == 200 else ())


@examples(25)
@given(data=st.data())
def test_whatever_is_typed_into_a_form_is_answered(data, browser, rows):
    where = data.draw(st.sampled_from(list(addresses({*WRITE} - {GOES_ELSEWHERE}, rows))))
    # Drawn before the page is looked at, which may show another thing the second time.
    drawn = data.draw(st.lists(st.tuples(st.integers(0, 100), texts), max_size=12))
    names = fields_of(browser, where) or ["name", "text", "do"]
    typed = {names[number % len(names)]: text for number, text in drawn}
    with nothing_stays():
        assert is_answer(browser.post(where, typed)), where


@examples(15)
@given(path=texts, query=texts)
def test_whatever_is_asked_by_someone_unknown_is_answered(path, query):
    places = (
        f"/join/{path}/",
        f"/report/{path}/",
        f"/password/new/{path}/",
        f"/audit/{path}/",
        f"/{path}",
        f"/sign-in/?next={query}",
    )
    for place in places:
        assert is_answer(Browser().generic("GET", place)), place
