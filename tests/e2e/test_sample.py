"""An empty firm's supervisor looks round in a sample firm, acts as its electrician, and throws it away."""

import pytest
from playwright.sync_api import expect

from inspections.enums import Role
from inspections.models import Firm
from inspections.words import SAMPLE_NOTICE
from tests.e2e.test_accessible import AXE, FOUND, TAGS
from tests.factories import MemberFactory
from tests.reports.pdf.reading_back import page_texts

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]


def test_a_new_firm_looks_round_and_throws_the_sample_away(page, sign_in):
    member = MemberFactory(role=Role.SUPERVISOR, firm__name="Weir Lane Electrics")
    sign_in(page, member)
    page.context.add_init_script(AXE)
    page.goto("/")
    band = page.get_by_role("region", name="Sample firm")
    expect(band).to_have_count(0)

    page.get_by_role("button", name="Look round in a sample firm").click()
    expect(band).to_contain_text("Nothing here is a record.")
    band.get_by_role("button", name="electrician").click()
    expect(band.get_by_role("button", name="electrician")).to_have_attribute("aria-pressed", "true")
    assert page.evaluate(FOUND, {"type": "tag", "values": TAGS}) == []
    page.emulate_media(color_scheme="dark")
    assert page.evaluate(FOUND, {"type": "rule", "values": ["color-contrast"]}) == []

    page.get_by_role("link", name="Larkfield Mill").first.click()
    page.get_by_role("main").get_by_role("link", name="DB2", exact=False).first.click()
    expect(band).to_be_visible()
    sheet = page.context.request.get(f"{page.url.rstrip('/')}/before-you-test.pdf")
    assert all(SAMPLE_NOTICE in text for text in page_texts(sheet.body()))

    band.get_by_role("button", name="Back to Weir Lane Electrics").click()
    expect(band).to_have_count(0)
    expect(page.get_by_text(member.name)).to_be_visible()
    page.get_by_role("button", name="Look round in a sample firm").click()
    band.get_by_role("link", name="Throw it away").click()
    page.get_by_role("main").get_by_role("button", name="Throw it away").click()
    expect(page.get_by_text("The sample firm is thrown away.")).to_be_visible()
    expect(band).to_have_count(0)
    assert Firm.objects.get() == member.firm
