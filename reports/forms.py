"""The forms of a report's life."""

from django import forms

from inspections.forms.layout import LaidOut


class CorrectionForm(LaidOut, forms.Form):
    what_changed = forms.CharField(
        label="What is corrected, and why",
        widget=forms.Textarea,
        error_messages={"required": "Say what is corrected, and why: the new revision says so."},
    )


class DropCorrectionForm(LaidOut, forms.Form):
    why = forms.CharField(
        label="Why it is dropped",
        widget=forms.Textarea,
        error_messages={"required": "Say why it is dropped: the history says so."},
    )


class ExportForm(LaidOut, forms.Form):
    parts = (("Which records", ("since", "until")), ("Checking", ("draw_again*",)))
    since = forms.DateField(label="Issued from", required=False, help_text="Empty: from the first")
    until = forms.DateField(label="Issued until", required=False, help_text="Empty: to the last")
    draw_again = forms.BooleanField(
        label="Draw each report again and compare it with the one that was kept",
        required=False,
        help_text="Takes longer. What is kept and handed over stays as it was issued.",
    )

    def clean(self):
        since, until = self.cleaned_data.get("since"), self.cleaned_data.get("until")
        if since and until and since > until:
            self.add_error("until", "This is before the first day.")

    def chosen(self, records):
        """Those of ``records`` that were issued on these days."""
        days = {
            "issued_at__date__gte": self.cleaned_data["since"],
            "issued_at__date__lte": self.cleaned_data["until"],
        }
        return records.filter(**{name: day for name, day in days.items() if day})


class LinkForm(LaidOut, forms.Form):
    given_to = forms.CharField(
        label="For whom", max_length=120, help_text="To tell one link from another; only your firm sees it."
    )
    expires_on = forms.DateField(label="Holds until", help_text="It stops working the day after.")
