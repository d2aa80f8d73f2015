"""Forms about who works at a firm."""

from django import forms
from django.contrib.auth.forms import SetPasswordMixin

from inspections.forms.layout import LaidOut
from inspections.models import Firm, Member
from inspections.passwords import WHAT_IS_TAKEN

HAS_A_SIGN_IN = "This address has a sign-in already."
FIRM_NAME = Firm._meta.get_field("name").max_length
MEMBER_NAME = Member._meta.get_field("name").max_length


class JoinForm(LaidOut, SetPasswordMixin, forms.Form):
    """What a member says of him- or herself when joining."""

    name = forms.CharField(
        label="Your name", max_length=MEMBER_NAME, widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    password1, password2 = SetPasswordMixin.create_password_fields("Password", "Password again")
    password1.help_text, password2.help_text = WHAT_IS_TAKEN, ""

    def clean(self):
        self.validate_passwords()
        self.validate_password_for_user(Member(name=self.cleaned_data.get("name", ""), email=self.address()))
        return super().clean()

    def address(self) -> str:
        """The e-mail address, which a password must not resemble."""
        return self.initial["email"]


class FirstRunForm(JoinForm):
    parts = (
        ("The firm", ("firm_name*",)),
        ("You, its first supervisor", ("name*", "email*", "password1*", "password2*")),
    )
    firm_name = forms.CharField(label="Name of the firm", max_length=FIRM_NAME)
    email = forms.EmailField(
        label="Your e-mail address", widget=forms.EmailInput(attrs={"autocomplete": "username"})
    )

    def address(self):
        return self.cleaned_data.get("email", "")


class InviteForm(LaidOut, forms.ModelForm):
    class Meta:
        model = Member
        fields = ("name", "email", "role")
        labels = {"email": "E-mail address"}
        error_messages = {"email": {"unique": HAS_A_SIGN_IN}}

    def clean_email(self):
        return self.cleaned_data["email"].lower()


class RoleForm(LaidOut, forms.ModelForm):
    class Meta:
        model = Member
        fields = ("role",)


class FirmForm(LaidOut, forms.ModelForm):
    parts = (
        ("On reports and labels", ("name*", "address*", "phone", "email")),
        ("Signing in", ("requires_second_factor*",)),
    )

    class Meta:
        model = Firm
        fields = ("name", "address", "phone", "email", "requires_second_factor")
        labels = {
            "name": "Name of the firm",
            "phone": "Telephone",
            "email": "E-mail address",
            "requires_second_factor": "Every member needs a second factor",
        }
        widgets = {"phone": forms.TextInput(attrs={"type": "tel"})}
        help_texts = {
            "requires_second_factor": (
                "A code from an app, or a passkey, as well as the password. Anyone without one, you "
                "included, must set one up before going on."
            ),
        }
