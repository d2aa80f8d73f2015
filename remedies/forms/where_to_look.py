"""The points of a circuit, as the search for a load asks for them."""

from django import forms

from inspections.forms.layout import LaidOut


class PointsForm(LaidOut, forms.Form):
    """The points of a circuit, as typed."""

    begins_typing = False

    points = forms.CharField(
        label="Points in the order of wiring, from the board on",
        help_text="One a line: the place; minutes to get at it. Without minutes, what is usual is taken.",
        required=False,
        widget=forms.Textarea,
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["points"].widget.attrs["rows"] = 12
