"""What the log says of sign-ins and refusals, and that nobody writes into it."""

import logging

import pytest
from django.test import Client as Browser
from django.urls import reverse

from config.logs import WithoutPersonalData
from tests.factories import PASSWORD, MemberFactory
from tests.security.test_sessions import sign_in

FORGED = "/clients/\n2026-11-25 12:00:00 INFO sign_in Member 1 signed in"


@pytest.mark.django_db
def test_signing_in_and_failing_to_is_logged_without_a_name(caplog):
    member = MemberFactory()
    browser = Browser()
    with caplog.at_level(logging.INFO, "sign_in"):
        browser.post(reverse("account_login"), {"login": member.email, "password": f"not {PASSWORD}"})
        sign_in(browser, member)
        browser.post(reverse("account_logout"))

    lines = [WithoutPersonalData().format(record) for record in caplog.records if record.name == "sign_in"]

    assert [line.split(" ", 2)[2] for line in lines] == [
        "WARNING sign_in A sign-in failed",
        f"INFO sign_in Member {member.pk} signed in",
        f"INFO sign_in Member {member.pk} signed out",
    ]


@pytest.mark.django_db
def test_a_refusal_is_logged_with_its_page(caplog):
    browser = Browser()
    browser.force_login(MemberFactory(role="inspector"))
    with caplog.at_level(logging.WARNING, "django.request"):
        browser.get(reverse("members"))
    [line] = [WithoutPersonalData().format(record) for record in caplog.records]
    said = line.splitlines()[0]
    assert said.endswith(f"WARNING django.request Forbidden (Permission denied): {reverse('members')}")


@pytest.mark.parametrize("said", [FORGED, "Not Found: rowan@example.com", "/find/?q=rowan"])
def test_no_line_is_forged_by_an_address(said):
    line = WithoutPersonalData().format(
        logging.LogRecord("django.request", logging.WARNING, "f.py", 1, "Not Found: %s", (said,), None)
    )
    assert "\n" not in line
    assert "rowan" not in line
