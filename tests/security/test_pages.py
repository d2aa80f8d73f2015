"""Every address, of ours and of allauth, signed in and not: what browsers are told, what the page holds."""

import re

import pytest
from django.test import Client as Browser

from inspections.enums import Role
from tests.config.addresses import address, patterns, rows_of
from tests.config.test_permissions import ask, signed_in
from tests.factories import MemberFactory

pytestmark = pytest.mark.django_db
INLINE = re.compile(
    r"<script(?![^>]*\bsrc=)(?![^>]*type=\"application/json\")|<style|<[^>]+\s(?:style|on[a-z]+)="
)
POLICY = {
    "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' data:", "font-src 'self'",
    "connect-src 'self'", "form-action 'self'", "base-uri 'none'", "frame-ancestors 'none'",
}  # fmt: skip
GIVEN = {"token": "no-token", "uidb64": "MQ", "uidb36": "1", "key": "no-key"}


@pytest.fixture
def pages():
    """Every answer to looking: of a supervisor, and of somebody unknown."""
    member = MemberFactory(role=Role.SUPERVISOR)
    rows = rows_of(member)
    answers = []
    for pattern in patterns():
        try:
            where, _ = address(pattern, rows)
        except KeyError:  # a link out of a mail
            continue
        answers += [(where, ask(browser, "get", where)) for browser in (signed_in(member), Browser())]
    return answers


def test_every_address_answers_with_the_policies(pages):
    assert len(pages) > 150
    for where, response in pages:
        policy = {part.strip() for part in response["Content-Security-Policy"].split(";")}
        assert policy == POLICY, where
        assert response["X-Content-Type-Options"] == "nosniff", where
        assert response["X-Frame-Options"] == "DENY", where
        assert response["Referrer-Policy"] == "same-origin", where
        assert "Cache-Control" in response, where
        assert "Access-Control-Allow-Origin" not in response, where
    inline = [
        (where, INLINE.search(response.text)[0])
        for where, response in pages
        if not response.streaming
        and response["Content-Type"].startswith("text/html")
        and INLINE.search(response.text)
    ]
    assert inline == []


def test_over_https_every_answer_keeps_the_browser_to_it(settings):
    settings.SECURE_HSTS_SECONDS, settings.SECURE_SSL_REDIRECT = 31_536_000, True
    for where in ("/sign-in/", "/none/", "/at-hand/"):
        assert Browser().get(where, secure=True)["Strict-Transport-Security"] == "max-age=31536000", where
        assert Browser().get(where).url == f"https://testserver{where}"
