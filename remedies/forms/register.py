"""What to show of the load register."""

from django import forms

from remedies.enums import LoadKind, LoadState
from remedies.selectors import ALL_STATES, RegisterFilter


class RegisterFilterForm(forms.Form):
    """What to show of the register."""

    kind = forms.ChoiceField(required=False, choices=[("", "All kinds"), *LoadKind.choices])
    state = forms.ChoiceField(
        required=False,
        choices=[("", "Not taken out"), *LoadState.choices, (ALL_STATES, "All, taken out too")],
    )
    hidden = forms.ChoiceField(
        required=False, choices=[("", "Hidden or not"), ("yes", "Hidden"), ("no", "In sight")]
    )
    seen_at_v = forms.ChoiceField(
        label="Live-live test",
        required=False,
        choices=[("", "Seen or not"), ("500", "Seen at 500 V"), ("250", "Seen at 250 V")],
    )
    unlabelled = forms.BooleanField(label="Not on the label at its board", required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            is_tick = isinstance(field, forms.BooleanField)
            field.widget.attrs["class"] = "form-check-input" if is_tick else "form-select"

    def chosen(self) -> RegisterFilter:
        """What was asked for; anything that is no choice is not asked."""
        self.is_valid()
        asked = self.cleaned_data
        return RegisterFilter(
            kind=asked.get("kind", ""),
            state=asked.get("state", ""),
            is_hidden={"yes": True, "no": False}.get(asked.get("hidden", "")),
            seen_at_v=int(asked.get("seen_at_v") or 0) or None,
            unlabelled=asked.get("unlabelled", False),
        )
