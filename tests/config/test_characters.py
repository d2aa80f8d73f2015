"""The character that no database keeps."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from inspections.models import Client
from tests.factories import MemberFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def browser():
    browser = Browser()
    browser.force_login(MemberFactory(role="supervisor"))
    return browser


def test_it_is_refused_in_a_form_with_what_to_do(browser):
    response = browser.post(reverse("client_add"), {"name": "Lark\0field", "address": "Mill Lane"})
    assert response.status_code == 400
    assert "Nothing was saved" in response.text
    assert not Client.objects.exists()


@pytest.mark.parametrize("query", ["q=%00", "%00=x", "q=a&q=b%00"])
def test_and_in_an_address(browser, query):
    assert browser.get(f"{reverse('find')}?{query}").status_code == 400
