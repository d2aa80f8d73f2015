"""The sign-in form."""

from django import forms
from django.contrib.auth.forms import AuthenticationForm

from inspections.forms.layout import LaidOut


class SignInForm(LaidOut, AuthenticationForm):
    error_messages = {
        "invalid_login": (
            "That e-mail address and password do not go together. Capital letters count in a password."
        ),
        "inactive": "This sign-in has been closed. Ask whoever runs your firm's Stillacross.",
    }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "E-mail address"
        self.fields["username"].widget = forms.EmailInput(
            attrs={"autocomplete": "username", "autofocus": True, "maxlength": 254}
        )
