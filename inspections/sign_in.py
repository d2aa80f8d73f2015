"""How signing in differs from what allauth does by itself, and the second factor a firm may require."""

import base64
import hashlib
import io
from functools import cache

import segno
from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.internal.flows.login import get_authentication_records, record_authentication
from allauth.mfa.adapter import DefaultMFAAdapter
from allauth.mfa.models import Authenticator
from cryptography.fernet import Fernet, MultiFernet
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest
from django.urls import reverse

from inspections.models import Member

FACTORS = (Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN)  # recovery codes stand in for these
BY_SECOND_FACTOR = "mfa"  # what allauth calls it in the list of how a session was signed in
WRONG_CODE = (
    "That code is not right, or was used already. The app shows another every 30 seconds; each recovery code "
    "is good for one sign-in."
)
NOT_MAILED = "The mail could not be sent. Try again in a while, or ask your supervisor."


class SignInAdapter(DefaultAccountAdapter):
    error_messages = DefaultAccountAdapter.error_messages | {
        "email_password_mismatch": (
            "That e-mail address and password do not match. Capital letters count in a password."
        ),
        "too_many_login_attempts": "That was tried too often. Wait five minutes, then try again.",
        "rate_limited": "That was tried too often. Wait five minutes, then try again.",
        "incorrect_password": "That is not your password. Capital letters count.",
        "enter_current_password": "That is not your present password. Capital letters count.",
    }

    def is_open_for_signup(self, request):
        return False

    def get_password_change_redirect_url(self, request):
        return reverse("mfa_index")

    def send_mail(self, template_prefix, email, context):
        try:
            super().send_mail(template_prefix, email, context)
        except OSError:
            messages.error(self.request, NOT_MAILED)


class SecondFactorAdapter(DefaultMFAAdapter):
    """What secrets the database keeps of a second factor is of use with SECRET_KEY alone."""

    error_messages = DefaultMFAAdapter.error_messages | {
        "incorrect_code": WRONG_CODE,
        "cannot_delete_authenticator": (
            "Your firm requires a second factor, and this is your only one. Add another first."
        ),
        "cannot_generate_recovery_codes": "Set up an authenticator app or a passkey first.",
        "unverified_email": "Confirm your e-mail address first: follow the link mailed to you.",
    }

    def build_totp_svg(self, url):
        drawing = io.BytesIO()
        segno.make(url, error="m", micro=False).save(drawing, kind="svg", scale=5, light="#fff")
        return drawing.getvalue().decode()

    def encrypt(self, text):
        return _safe().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text):
        return _safe().decrypt(encrypted_text.encode()).decode()

    def can_delete_authenticator(self, authenticator):
        firm = authenticator.user.firm
        others = factors_of(authenticator.user).exclude(pk=authenticator.pk)
        return not (firm and firm.requires_second_factor) or others.exists()

    def generate_authenticator_name(self, user, type):
        count = Authenticator.objects.filter(user=user, type=type).count()
        return f"Passkey {count + 1}"


@cache
def _safe() -> MultiFernet:
    keys = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    digests = (hashlib.sha256(b"second factor:" + key.encode()).digest() for key in keys)
    return MultiFernet([Fernet(base64.urlsafe_b64encode(digest)) for digest in digests])


def factors_of(member: Member):
    """The apps and passkeys a member may use beside the password."""
    return Authenticator.objects.filter(user=member, type__in=FACTORS)


def lacks_second_factor(request: HttpRequest) -> bool:
    """Whether the firm requires a second factor, and this session was not signed in with one that stands.
    A sample asks for none: whoever is there gave it at home."""
    firm = request.user.firm
    if firm is None or firm.is_sample or not firm.requires_second_factor:
        return False
    used = any(
        record["method"] == BY_SECOND_FACTOR for record in get_authentication_records(request, request.user)
    )
    return not (used and factors_of(request.user).exists())


def note_factor_set_up(request: HttpRequest, user: Member, authenticator: Authenticator, **kwargs) -> None:
    """Whoever has just shown that an app or a passkey is theirs need not sign in again to use it."""
    if authenticator.type in FACTORS:
        record_authentication(request, user, BY_SECOND_FACTOR, type=authenticator.type)
