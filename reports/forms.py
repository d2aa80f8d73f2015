"""The forms of a report's life."""

from django import forms

from inspections.forms.layout import LaidOut


class CorrectionForm(LaidOut, forms.Form):
    what_changed = forms.CharField(
        label="What is corrected, and why",
        widget=forms.Textarea,
        error_messages={"required": "Say what is corrected, and why: the new revision says so."},
    )
