"""The office: from a question about all the firm's places to a list in a file, saved to be asked again."""

import pytest
from django.urls import reverse

from inspections.enums import Role
from tests.e2e.hands import Hands
from tests.factories import MemberFactory
from tests.reports.audit.conftest import make_place

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]


def test_a_question_becomes_a_list_in_a_file_in_three_taps(page, sign_in):
    office = MemberFactory(role=Role.OFFICE)
    make_place(office, "Larkfield Hall")
    page.set_viewport_size({"width": 1024, "height": 768})
    sign_in(page, office)
    hands = Hands(page)
    hands.begin_at(reverse("today"))
    hands.tap_link("Audit")
    hands.tap_link("Loads in the way of an insulation test")
    with page.expect_download() as download:
        hands.tap_link("CSV")
    assert (hands.taps, hands.keys) == (3, 0)
    assert hands.pages <= 3
    assert "Larkfield Hall" in download.value.path().read_text("utf-8-sig")
