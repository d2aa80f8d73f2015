"""The forms of an observation: when seen, and when put right."""

from django import forms

from inspections.enums import Code
from inspections.forms.choices import boards_of, by_board, circuits_of
from inspections.forms.layout import LaidOut, field_names
from inspections.forms.photos import PhotoField
from inspections.models import Observation, VisualOutcome
from inspections.rules.visual import VisualItem

OBSERVATION = (
    ("Observation", ("text*", "code", "regulation")),
    ("Where", ("board", "circuit", "place*", "photo*", "remove_photo*")),
    ("On the day", ("action_on_day*", "client_warned_on")),
)


def from_visual_item(item: VisualItem, row: VisualOutcome | None) -> dict[str, str]:
    """What the form of an observation made from a visual item begins with. The code is the one that the
    inspector gave the item."""
    remark = row.remark if row else ""
    code = row.outcome if row and row.outcome in Code.values else ""
    return {
        "text": f"{remark} (Looked for: {item.text})" if remark else f"Not found so: {item.text}",
        "code": code,
        "regulation": item.source.clause,
    }


class ObservationForm(LaidOut, forms.ModelForm):
    """``instance`` knows its inspection. The code is left to the inspector."""

    parts = OBSERVATION
    photo = PhotoField(label="Photograph", help_text="JPEG, PNG or WebP, up to 10 MB")
    remove_photo = forms.BooleanField(label="Take the photograph off this observation", required=False)

    class Meta:
        model = Observation
        fields = field_names(OBSERVATION)
        labels = {"code": "Code", "action_on_day": "What was done about it", "place": "Where exactly"}
        help_texts = {
            "action_on_day": "A C1 needs this, and when the client was warned",
            "regulation": "Such as 421.1.201",
        }
        error_messages = {"text": {"required": "Say what was seen."}}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        place = self.instance.inspection.installation
        self.fields["code"].choices = [("", "No code yet"), *Code.choices]
        self.fields["board"].queryset = boards_of(place, also=[self.instance.board_id])
        self.fields["board"].empty_label = "—"
        circuits = circuits_of(place, also=[self.instance.circuit_id])
        self.fields["circuit"].queryset = circuits
        self.fields["circuit"].choices = [("", "—"), *by_board(circuits)]
        if not self.instance.photo:
            del self.fields["remove_photo"]

    def clean(self):
        cleaned = super().clean()
        circuit, board = cleaned.get("circuit"), cleaned.get("board")
        if circuit and board and circuit.board_id != board.pk:
            self.add_error("circuit", f"Circuit {circuit} is not on {board.designation}.")
        elif circuit:
            cleaned["board"] = circuit.board
        if cleaned.get("remove_photo") and "photo" not in self.files:
            cleaned["photo"] = False
        return cleaned


class PutRightForm(LaidOut, forms.ModelForm):
    class Meta:
        model = Observation
        fields = ("put_right_on", "put_right_by", "evidence")
        labels = {"put_right_on": "Put right on", "put_right_by": "By whom", "evidence": "Evidence"}
        help_texts = {"evidence": "What shows it: a reading taken again, a part replaced, a record number"}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["put_right_on"].required = True
        self.fields["put_right_on"].error_messages["required"] = "Say when it was put right."
        self.fields["put_right_by"].required = True
        self.fields["put_right_by"].error_messages["required"] = "Say who put it right."
