"""The form of a test instrument."""

from django import forms

from inspections.forms.layout import LaidOut, field_names
from inspections.models import Instrument

INSTRUMENT = (
    ("", ("measures", "serial", "group", "calibrated_until", "description*")),
    ("Insulation tester", ("insulation_range_top_mohm", "insulation_current_ma")),
    ("Voltmeter", ("input_resistance_ohm", "input_capacitance_pf")),
    ("No longer used", ("retired_on",)),
)


class InstrumentForm(LaidOut, forms.ModelForm):
    parts = INSTRUMENT

    class Meta:
        model = Instrument
        fields = field_names(INSTRUMENT)
        labels = {
            "measures": "What it measures",
            "group": "Letter on the schedules",
            "input_resistance_ohm": "Input resistance (Ω)",
            "input_capacitance_pf": "Input capacitance (pF)",
            "insulation_range_top_mohm": "Top of the range (MΩ)",
            "insulation_current_ma": "Test current limit (mA)",
            "retired_on": "Out of use since",
        }
        help_texts = {
            "group": "A letter or two, such as A",
            "insulation_range_top_mohm": "The highest value it shows before it shows >",
            "insulation_current_ma": "From 1 to 15 mA (IEC 61557-2)",
        }
        error_messages = {"serial": {"required": "Type the serial number on its plate."}}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.pk is None:
            del self.fields["retired_on"]
