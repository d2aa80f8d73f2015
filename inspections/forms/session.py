"""The forms of signing in: allauth's, laid out as every other form, with our words."""

from allauth.account import forms as account
from allauth.mfa.base import forms as second_factor
from allauth.mfa.recovery_codes import forms as recovery_codes
from allauth.mfa.totp import forms as app
from allauth.mfa.webauthn import forms as passkeys
from django import forms

from inspections.forms.layout import LaidOut
from inspections.passwords import WHAT_IS_TAKEN

CODE_HELP = "Six digits from your authenticator app, or one of your recovery codes."


class OfSigningIn(LaidOut):
    """``labels`` and ``helps`` by field. Nothing is written into a field that is still to be filled."""

    labels: dict[str, str] = {}
    helps: dict[str, str] = {}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.widget.attrs.pop("placeholder", None)
            field.label = self.labels.get(name, field.label)
            field.help_text = self.helps.get(name, "")


class OfACode(OfSigningIn):
    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["code"].widget.attrs["inputmode"] = "numeric"


class SignInForm(OfSigningIn, account.LoginForm):
    labels = {"login": "E-mail address", "password": "Password"}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["login"].widget.attrs |= {"autocomplete": "username", "maxlength": 254}


class SignInAgainForm(OfSigningIn, account.ReauthenticateForm):
    labels = {"password": "Your password"}


class ChangePasswordForm(OfSigningIn, account.ChangePasswordForm):
    labels = {
        "oldpassword": "Your present password",
        "password1": "New password",
        "password2": "New password again",
    }
    helps = {"password1": WHAT_IS_TAKEN}


class ForgottenPasswordForm(OfSigningIn, account.ResetPasswordForm):
    """No mail goes to a sample's people, whose addresses are invented."""

    labels = {"email": "E-mail address"}

    def clean_email(self):
        email = super().clean_email()
        self.users = [member for member in self.users if not member.is_in_sample]
        return email


class NewPasswordForm(OfSigningIn, account.ResetPasswordKeyForm):
    labels = {"password1": "New password", "password2": "New password again"}
    helps = {"password1": WHAT_IS_TAKEN}


class CodeForm(OfACode, second_factor.AuthenticateForm):
    labels = {"code": "Code"}
    helps = {"code": CODE_HELP}


class CodeAgainForm(OfACode, second_factor.ReauthenticateForm):
    labels = {"code": "Code"}
    helps = {"code": CODE_HELP}


class AppForm(OfACode, app.ActivateTOTPForm):
    labels = {"code": "Code that the app shows"}
    helps = {"code": "Six digits. They change every 30 seconds."}


class AppRemovalForm(LaidOut, app.DeactivateTOTPForm):
    pass


class PasskeyForm(OfSigningIn, passkeys.AddWebAuthnForm):
    labels = {"name": "What to call it", "credential": "Passkey"}
    helps = {"name": "Such as “phone” or “key on the ring”, to tell it from another."}


class PasskeyNameForm(OfSigningIn, passkeys.EditWebAuthnForm):
    labels = {"name": "What to call it"}


class PasskeyRemovalForm(LaidOut, forms.Form):
    pass


class RecoveryCodesForm(LaidOut, recovery_codes.GenerateRecoveryCodesForm):
    pass
