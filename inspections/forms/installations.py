"""The form of an installation."""

from django import forms

from inspections.forms.layout import LaidOut, field_names
from inspections.models import Firm, Installation
from inspections.rules import edition

PLACE = (
    ("Installation", ("client*", "name*", "address*", "postcode", "built", "use*", "alterations*")),
    ("Supply", ("earthing", "phases", "nominal_voltage_v", "frequency_hz")),
    ("Inspection", ("rule_set*", "interval_months", "next_due_on")),
)


class InstallationForm(LaidOut, forms.ModelForm):
    """Narrowed to the clients of ``firm``."""

    parts = PLACE

    class Meta:
        model = Installation
        fields = field_names(PLACE)
        labels = {"rule_set": "Held to", "phases": "Phases"}
        help_texts = {"rule_set": "Fixed for each visit when it begins"}
        error_messages = {
            "name": {"required": "Give it the name people know it by."},
            "client": {"required": "Choose who orders the work."},
        }

    def __init__(self, *args, firm: Firm, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["client"].queryset = firm.clients.all()
        self.fields["client"].empty_label = "Choose who orders the work"
        self.fields["rule_set"] = forms.ChoiceField(
            label="Held to",
            choices=[(key, edition.load(key).title) for key in edition.available()],
            help_text="Edition of the rules; fixed for each visit when it begins",
        )
