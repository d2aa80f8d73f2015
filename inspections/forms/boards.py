"""The forms of a distribution board."""

from django import forms

from inspections.forms.layout import LaidOut, field_names
from inspections.models import Board

BOARD = (
    ("", ("designation", "location", "phases", "ways")),
    ("Supply of the board", ("fed_from", "fed_from_way", "main_switch*", "surge_protection*")),
    ("No longer there", ("retired_on",)),
)


class BoardForm(LaidOut, forms.ModelForm):
    """``instance`` knows its installation; only the other boards there may feed it."""

    parts = BOARD

    class Meta:
        model = Board
        fields = field_names(BOARD)
        labels = {"ways": "Number of ways", "retired_on": "Taken out of use on"}
        error_messages = {"designation": {"required": "Type what is marked on the board, such as DB1."}}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        others = Board.objects.filter(installation=self.instance.installation).exclude(pk=self.instance.pk)
        self.fields["fed_from"].queryset = others
        self.fields["fed_from"].empty_label = "The supply itself"
        if self.instance.pk is None:
            del self.fields["retired_on"]


class CopyCircuitsForm(LaidOut, forms.Form):
    """Which board of the installation to copy the circuits of."""

    source = forms.ModelChoiceField(
        Board.objects.none(), label="Copy the circuits of", empty_label=None, error_messages={
            "required": "Choose a board to copy from."
        },
    )  # fmt: skip

    def __init__(self, *args, target: Board, **kwargs):
        super().__init__(*args, **kwargs)
        others = Board.objects.in_use().filter(installation=target.installation).exclude(pk=target.pk)
        self.fields["source"].queryset = others
