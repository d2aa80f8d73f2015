"""The forms of a visit, and of what was measured at a board."""

from django import forms
from django.db.models import Q

from inspections.enums import MAY_INSPECT, InspectionKind
from inspections.forms.layout import LaidOut, field_names
from inspections.models import BoardResult, Firm, Inspection, Instrument, Member

NOTATION = "Such as 0.35 or >20; LIM, N/V, N/A"
TICKS = "Y for ✓, X for ✗; LIM, N/V, N/A"


def inspectors_of(firm: Firm, *, named: int | None = None):
    """Members who may inspect, and whoever is ``named`` already."""
    may_inspect = Q(is_active=True, role__in=MAY_INSPECT)
    return firm.members.filter(may_inspect | Q(pk=named))


class StartForm(LaidOut, forms.Form):
    """What is known when a visit begins."""

    kind = forms.ChoiceField(choices=InspectionKind, initial=InspectionKind.PERIODIC)
    started_on = forms.DateField(
        label="Date of the visit", error_messages={"required": "Say when the visit is, or was."}
    )
    inspector = forms.ModelChoiceField(Member.objects.none(), empty_label=None)
    reason = forms.CharField(label="Reason for the report", required=False, widget=forms.Textarea)

    def __init__(self, *args, firm: Firm, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["inspector"].queryset = inspectors_of(firm)


VISIT = (
    ("Visit", ("kind*", "inspector", "started_on", "finished_on")),
    ("Supply as measured", ("ze", "ipf_ka", "supply_polarity")),
    ("Report", ("reason*", "extent*", "general_condition*")),
    ("Instruments", ("instruments*", "calibration_explanation*")),
    ("Next inspection", ("next_due_on", "next_due_reason*")),
)


class InspectionForm(LaidOut, forms.ModelForm):
    """Narrowed to the firm's members, and to its instruments in use or already chosen."""

    parts = VISIT

    class Meta:
        model = Inspection
        fields = field_names(VISIT)
        labels = {"supply_polarity": "Supply polarity confirmed", "instruments": "Instruments used"}
        help_texts = {"ze": NOTATION, "ipf_ka": NOTATION, "supply_polarity": TICKS, "instruments": ""}
        widgets = {"instruments": forms.CheckboxSelectMultiple}

    def __init__(self, *args, firm: Firm, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["inspector"].queryset = inspectors_of(firm, named=self.instance.inspector_id)
        self.fields["inspector"].empty_label = None
        chosen = self.instance.instruments.values("pk")
        self.fields["instruments"].queryset = Instrument.objects.for_firm(firm).filter(
            Q(retired_on__isnull=True) | Q(pk__in=chosen)
        )


AT_BOARD = (("", ("zdb", "ipf_ka", "polarity", "phase_sequence", "surge_indicator")),)


class BoardResultForm(LaidOut, forms.ModelForm):
    """Phase sequence is asked only where there are three phases."""

    parts = AT_BOARD

    class Meta:
        model = BoardResult
        fields = field_names(AT_BOARD)
        help_texts = {
            "zdb": NOTATION,
            "ipf_ka": NOTATION,
            "polarity": TICKS,
            "phase_sequence": TICKS,
            "surge_indicator": TICKS,
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if not self.instance.board.is_three_phase:
            del self.fields["phase_sequence"]
