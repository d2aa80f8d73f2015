"""The form of a limitation: which tests were not done, over what, why, and who agreed to it."""

from itertools import groupby

from django import forms

from inspections.columns import READINGS, TESTS, VISUAL
from inspections.enums import LimitationKind, LimitationScope
from inspections.forms.choices import boards_of, by_board, circuits_of
from inspections.forms.layout import LaidOut, SuggestingInput, field_names
from inspections.models import Board, Limitation


def tests_by_heading():
    """The tests that may be limited, under their headings, as choices."""
    by_group = [
        (heading, [(test.name, f"{test.heading}: {test.meaning}") for test in tests])
        for heading, tests in groupby(READINGS, key=lambda test: test.group)
    ]
    return [*by_group, ("Looking", [(VISUAL, f"{TESTS[VISUAL]}: what could not be looked at")])]


LIMITATION = (
    ("Why", ("reason*", "kind*", "agreed_with", "agreed_on", "agreed_how", "is_standing*")),
    ("Tests not done", ("tests*",)),
    ("Over what", ("scope*", "boards*", "circuits*")),
)


class LimitationForm(LaidOut, forms.ModelForm):
    """``instance`` knows its inspection; boards and circuits are those of the place."""

    parts = LIMITATION
    tests = forms.MultipleChoiceField(
        label="Which tests",
        required=False,  # the limitation itself says that it needs one
        widget=forms.CheckboxSelectMultiple,
    )
    boards = forms.ModelMultipleChoiceField(
        Board.objects.none(), required=False, widget=forms.CheckboxSelectMultiple
    )
    circuits = forms.MultipleChoiceField(required=False, widget=forms.CheckboxSelectMultiple)

    class Meta:
        model = Limitation
        fields = field_names(LIMITATION)
        labels = {
            "kind": "Agreed beforehand, or met on the day",
            "scope": "It covers",
            "agreed_with": "Agreed with",
            "agreed_how": "How",
            "is_standing": "Standing: carry it over to the next visit, to be answered there",
        }
        widgets = {
            "kind": forms.RadioSelect,
            "scope": forms.RadioSelect,
        }
        help_texts = {"agreed_how": "In writing, by telephone"}
        error_messages = {"reason": {"required": "Say why the test was not done."}}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        place = self.instance.inspection.installation
        self.fields["reason"].widget = SuggestingInput(_earlier_reasons(place.firm))
        self.fields["tests"].choices = tests_by_heading()
        self.fields["kind"].choices = LimitationKind.choices
        self.fields["scope"].choices = LimitationScope.choices
        limitation = self.instance if self.instance.pk else None
        boards = list(limitation.boards.values_list("pk", flat=True)) if limitation else []
        named = list(limitation.circuits.values_list("pk", flat=True)) if limitation else []
        self.fields["boards"].queryset = boards_of(place, also=boards)
        circuits = circuits_of(place, also=named)
        self._circuits = {str(circuit.pk): circuit for circuit in circuits}
        self.fields["circuits"].choices = by_board(circuits)
        if limitation:
            self.initial |= {"boards": boards, "circuits": named}

    def clean_circuits(self):
        return [self._circuits[pk] for pk in self.cleaned_data["circuits"]]


def _earlier_reasons(firm):
    """What the firm has written before, latest first, each once."""
    latest = Limitation.objects.for_firm(firm).order_by("-pk").values_list("reason", flat=True)[:200]
    return list(dict.fromkeys(latest))[:30]
