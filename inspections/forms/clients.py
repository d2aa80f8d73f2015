"""The form of a client."""

from django import forms

from inspections.forms.layout import LaidOut
from inspections.models import Client


class ClientForm(LaidOut, forms.ModelForm):
    class Meta:
        model = Client
        fields = ("name", "address", "email", "phone", "notes")
        labels = {"email": "E-mail address", "phone": "Telephone"}
        widgets = {"phone": forms.TextInput(attrs={"type": "tel", "autocomplete": "off"})}
        error_messages = {"name": {"required": "Say who orders the work."}}
