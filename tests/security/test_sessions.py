"""Sessions, and what is posted from elsewhere."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inspections.models import Client
from tests.factories import PASSWORD, MemberFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def member():
    return MemberFactory(role="supervisor")


def sign_in(browser, member):
    return browser.post(reverse("account_login"), {"login": member.email, "password": PASSWORD})


def test_signing_in_begins_a_new_session(member):
    browser = Browser()
    browser.session.save()  # one that somebody else may have laid there
    before = (
        browser.cookies["sessionid"].value if "sessionid" in browser.cookies else browser.session.session_key
    )
    browser.cookies["sessionid"] = before

    assert sign_in(browser, member).status_code == 302

    assert browser.cookies["sessionid"].value != before


def test_a_session_is_a_long_random_text_in_a_guarded_cookie(member):
    browser = Browser()
    sign_in(browser, member)
    cookie = browser.cookies["sessionid"]
    assert len(cookie.value) == 32  # of 36 letters: 165 bits
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"


@pytest.mark.parametrize("headers", [{}, {"origin": "https://elsewhere.example.com"}])
def test_a_form_of_another_site_is_refused(member, headers):
    browser = Browser(enforce_csrf_checks=True)
    browser.force_login(member)

    response = browser.post(reverse("client_add"), {"name": "Larkfield Estate"}, headers=headers)

    assert response.status_code == 403
    assert not Client.objects.exists()


def test_a_body_that_is_no_form_enters_nothing(member):
    browser = Browser()
    browser.force_login(member)

    response = browser.post(reverse("client_add"), '{"name": "Larkfield"}', content_type="application/json")

    assert response.status_code == 200
    assert not Client.objects.exists()
