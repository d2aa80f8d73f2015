"""The forms of a circuit."""

from django import forms

from inspections.enums import Phase
from inspections.forms.layout import LaidOut, SuggestingInput, field_names
from inspections.max_zs import permitted
from inspections.models import Circuit
from inspections.rules import edition

RCD_STANDARDS = ("BS EN 61008", "BS EN 61009", "BS EN 62423", "BS 7288")
RCD_TYPES = ("AC", "A", "F", "B", "A S", "B S")


CIRCUIT = (
    ("Circuit", (
        "way", "phase", "description*", "points", "arrangement", "serves", "voltage_band",
        "nominal_voltage_v", "is_spare*",
    )),
    ("Conductors", ("wiring_type", "reference_method", "live_csa_mm2", "cpc_csa_mm2", "length_m")),
    ("Protective device", (
        "device_standard", "device_type", "device_rating_a", "breaking_capacity_ka", "max_zs_ohm",
        "disconnection_time_s",
    )),
    ("RCD", ("rcd_standard", "rcd_type", "rcd_residual_ma", "rcd_rating_a")),
    (
        "For the checks",
        (
            "design_current_a",
            "conductor_insulation",
            "residual_current*",
            "serves_lighting*",
            "equipment_stays_connected*",
        ),
    ),
)  # fmt: skip


class CircuitForm(LaidOut, forms.ModelForm):
    """``instance`` knows its board; the phase is asked only where the board has three."""

    parts = CIRCUIT

    class Meta:
        model = Circuit
        fields = field_names(CIRCUIT)
        labels = {
            "live_csa_mm2": "Live conductors (mm²)",
            "cpc_csa_mm2": "cpc (mm²)",
            "device_standard": "Standard",
            "device_type": "Type",
            "device_rating_a": "Rating (A)",
            "max_zs_ohm": "Maximum Zs (Ω)",
            "rcd_standard": "Standard",
            "rcd_type": "Type",
            "rcd_residual_ma": "IΔn (mA)",
            "rcd_rating_a": "Rating (A)",
        }
        help_texts = {
            "length_m": "From the board to the furthest point; of a ring, all of it",
            "disconnection_time_s": "Empty: found from what it serves",
        }
        error_messages = {"way": {"required": "Type the way of the board, such as 3."}}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        board = self.instance.board
        if not board.is_three_phase and self.instance.phase == Phase.NONE:
            del self.fields["phase"]
        zs, field = permitted(self.instance), self.fields["max_zs_ohm"]
        field.help_text = zs.advice
        if zs.shown:
            field.widget.attrs["placeholder"] = zs.shown
        devices = edition.load(board.installation.rule_set).devices
        self._suggest("device_standard", [device.standard for device in devices])
        self._suggest("device_type", sorted({type_ for device in devices for type_ in device.multiples}))
        self._suggest("rcd_standard", RCD_STANDARDS)
        self._suggest("rcd_type", RCD_TYPES)

    def _suggest(self, name, suggestions):
        field = self.fields[name]
        field.widget = SuggestingInput(suggestions, field.widget.attrs)


class RetireForm(LaidOut, forms.Form):
    retired_on = forms.DateField(
        label="Out of use since", error_messages={"required": "Say since when the circuit is out of use."}
    )
