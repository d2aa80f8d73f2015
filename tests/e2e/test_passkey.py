"""A passkey, made and used by the browser's own virtual authenticator (WebAuthn, section 11.3)."""

import pytest
from allauth.mfa.models import Authenticator
from django.urls import reverse
from playwright.sync_api import expect

from tests.factories import PASSWORD, MemberFactory
from tests.factories.sign_in import passkey_of, recovery_codes_of

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]

KEY = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}
PATIENCE = 60_000


@pytest.fixture
def key(page):
    """The page's browser has an authenticator, and a person who agrees to its use."""
    devtools = page.context.new_cdp_session(page)
    devtools.send("WebAuthn.enable")
    devtools.send("WebAuthn.addVirtualAuthenticator", {"options": KEY})


def give_password(page, member):
    page.goto(reverse("account_login"))
    page.get_by_label("E-mail address").fill(member.email)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()


def test_a_passkey_is_made_as_the_firm_requires_and_signs_in(page, key):
    member = MemberFactory(firm__requires_second_factor=True, name="Morag Tidewell")
    blocked = []
    page.on("console", lambda said: blocked.append(said.text) if "Security Policy" in said.text else None)
    give_password(page, member)
    expect(page.get_by_role("heading", name="Your sign-in")).to_be_visible(timeout=PATIENCE)
    page.get_by_role("link", name="Add one").click()
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Go on").click()
    page.get_by_label("What to call it").fill("Key on the ring")
    page.get_by_role("button", name="Add it").click()
    expect(page.get_by_role("heading", name="Recovery codes")).to_be_visible(timeout=PATIENCE)
    passkey = Authenticator.objects.get(user=member, type=Authenticator.Type.WEBAUTHN)
    assert str(passkey) == "Key on the ring"
    page.goto(reverse("today"))
    expect(page.get_by_role("heading", name="Today")).to_be_visible(timeout=PATIENCE)
    page.get_by_role("button", name="Sign out").click()

    give_password(page, member)
    expect(page.get_by_role("heading", name="Second factor")).to_be_visible(timeout=PATIENCE)
    page.get_by_role("button", name="Use a passkey").click()

    expect(page.get_by_role("heading", name="Today")).to_be_visible(timeout=PATIENCE)
    passkey.refresh_from_db()
    assert passkey.last_used_at is not None
    assert blocked == []


def test_a_passkey_that_is_not_there_is_told_and_a_recovery_code_signs_in_instead(page, key):
    member = MemberFactory()
    passkey_of(member)
    code, *_ = recovery_codes_of(member)
    give_password(page, member)
    page.get_by_role("button", name="Use a passkey").click()
    expect(page.get_by_text("The passkey was not used")).to_be_visible(timeout=PATIENCE)

    page.get_by_label("Code").fill(code)
    page.get_by_role("button", name="Sign in", exact=True).click()

    expect(page.get_by_role("heading", name="Today")).to_be_visible(timeout=PATIENCE)
