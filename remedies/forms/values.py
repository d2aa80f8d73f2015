"""The electrical values of a load, and which of them matter to each kind."""

from decimal import Decimal

from django import forms

from inspections.forms.layout import LaidOut
from remedies.enums import CapacitorClass, LoadKind
from remedies.forms.fields import MultipleField
from remedies.wording import ohms

VALUES = (
    "capacitor_class", "capacitance_uf", "resistance_ohm", "resistors_in_series", "discharge_resistor_ohm",
    "rated_voltage_v", "rated_power_w",
)  # fmt: skip

# The values that matter to each kind, and the name the trade has for one where it differs.
KIND_VALUES: dict[str, dict[str, str]] = {
    LoadKind.CAPACITOR: {
        "capacitor_class": "",
        "capacitance_uf": "",
        "rated_voltage_v": "Rated voltage (V a.c.)",
        "discharge_resistor_ohm": "",
    },
    LoadKind.RC_NETWORK: {
        "capacitor_class": "",
        "resistance_ohm": "Series resistor (Ω)",
        "capacitance_uf": "",
        "rated_voltage_v": "Rated voltage (V a.c.)",
        "discharge_resistor_ohm": "",
    },
    LoadKind.NEON: {
        "resistance_ohm": "Series resistor (Ω)",
        "rated_voltage_v": "Working voltage of the resistor (V)",
        "rated_power_w": "Rated power of the resistor (W)",
    },
    LoadKind.INDICATOR: {"resistance_ohm": "Series resistor (Ω)"},
    LoadKind.RESISTOR: {
        "resistance_ohm": "Resistance of one (Ω)",
        "resistors_in_series": "",
        "rated_voltage_v": "Working voltage of one (V)",
        "rated_power_w": "Rated power of one (W)",
    },
    LoadKind.LOAD_MODULE: {"rated_power_w": "Power at 230 V (W)", "resistance_ohm": "Resistance (Ω)"},
    LoadKind.TRANSFORMER: {"rated_power_w": "Rating (VA)", "resistance_ohm": "Winding resistance (Ω)"},
    LoadKind.DRIVER: {"rated_power_w": "Rated power (W)", "resistance_ohm": "Resistance once read (Ω)"},
    LoadKind.DIMMER: {"rated_power_w": "Rated power (W)", "resistance_ohm": "Resistance once read (Ω)"},
    LoadKind.TIMER: {"resistance_ohm": "Resistance once read (Ω)"},
    LoadKind.SENSOR: {"resistance_ohm": "Resistance once read (Ω)"},
    LoadKind.SURGE: {"rated_voltage_v": "Continuous voltage Uc (V)"},
    LoadKind.EQUIPMENT: {"rated_power_w": "Rated power (W)", "resistance_ohm": "Resistance once read (Ω)"},
    LoadKind.UNKNOWN: {"resistance_ohm": "Resistance once read (Ω)"},
}


def _resistance(**kwargs):
    return MultipleField(unit="Ω", like="220k or 2.2M", max_digits=12, decimal_places=2, **kwargs)


def _capacitance(**kwargs):
    return MultipleField(unit="µF", like="0.1 or 100n", max_digits=9, decimal_places=4, **kwargs)


class ValuesForm(LaidOut, forms.ModelForm):
    """The electrical values of a load or a preset. Only the kind is needed."""

    resistance_ohm = _resistance(label="Resistance (Ω)", help_text="220k and 2.2M will do")
    discharge_resistor_ohm = _resistance(
        label="Discharge resistor (Ω)", help_text="Empty: none, or not known"
    )
    capacitance_uf = _capacitance(label="Capacitance (µF)", help_text="100n will do")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        kinds = [("", "Choose what it is"), *LoadKind.choices]
        self.fields["kind"].choices = kinds
        self.fields["kind"].error_messages["required"] = (
            "Choose what it is; “Not yet known” is an answer too."
        )
        self.fields["capacitor_class"].choices = [("", "Not marked, or not known"), *CapacitorClass.choices]
        self.fields["resistors_in_series"].required = False
        self.fields["tolerance_percent"].label = "Tolerance (± %)"
        for name in ("resistance_ohm", "discharge_resistor_ohm"):
            if isinstance(written := self.initial.get(name), str) and written:
                self.initial[name] = ohms(Decimal(written))

    def clean_resistors_in_series(self):
        return self.cleaned_data["resistors_in_series"] or 1

    @property
    def kind_values(self):
        """For the page's script: the values that matter to each kind, with their names."""
        return {kind: dict(values) for kind, values in KIND_VALUES.items()}
