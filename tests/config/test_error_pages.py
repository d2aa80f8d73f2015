"""Pages for when something is wrong: each says what to do, and the barest need nothing."""

import pytest
from django.template.loader import get_template
from django.test import Client as Browser
from django.urls import reverse


@pytest.mark.parametrize("page", ["400.html", "500.html"])
def test_a_page_that_django_draws_without_a_request_asks_for_nothing(page):
    """No database: the test is not let to one. Go back, it says, and nothing was saved."""
    text = get_template(page).render()
    assert "saved" in text
    assert "Go back" in text


@pytest.mark.django_db
def test_a_form_sent_without_its_token_is_told_what_to_do():
    answer = Browser(enforce_csrf_checks=True).post(reverse("account_login"), {"login": "rowan@example.com"})
    assert answer.status_code == 403
    assert "load the page again" in answer.text


def test_a_request_that_is_not_understood_is_told_what_to_do(client):
    answer = client.get("/", headers={"host": "not a host"})
    assert answer.status_code == 400
    assert "Go back" in answer.text
