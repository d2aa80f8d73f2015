"""What is typed on a glow worksheet: one form a section, all sent together.

A form turns what is typed into the keywords of one value of the physics, builds that value, and puts what the
physics refuses beside the field it is about. Whatever was typed stays in its field.
"""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils import timezone

from inspections.models import Instrument
from remedies.enums import LoadKind
from remedies.forms.fields import QuantityField
from remedies.forms.values import VALUES, ValuesForm
from remedies.glow import inputs
from remedies.glow.asked import QUESTION_KEYS, answers_of
from remedies.glow.candidates import REMEDY_KINDS
from remedies.models import GlowWorksheet, ParallelLoad
from remedies.models.glow import CAUSE_CHOICES
from remedies.physics.checked import InputError
from remedies.physics.dimmer_load import Edge
from remedies.physics.operating import Conditions, Reach
from remedies.physics.stray_voltage import Nature

METERS = 3
_LOOKS = {forms.CheckboxInput: "form-check-input", forms.Select: "form-select"}


class Shown:
    """Mixed into a form: how its fields look, and where what is wrong with each is said."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            said = f"{self.auto_id % self.add_prefix(name)}_said"
            look = _LOOKS.get(type(field.widget), "form-control")
            field.widget.attrs.update({"class": look, "aria-describedby": said})


class SectionForm(Shown, forms.Form):
    """One section of the page. ``about``: which field what the physics calls so stands in."""

    about: dict[str, str] = {}

    def build(self, section: dict[str, Any]) -> object:
        """The value of the physics that the section makes."""
        raise NotImplementedError

    def clean(self):
        cleaned = super().clean()
        if not self.errors:
            try:
                self.build(cleaned)
            except InputError as error:
                self._refuse(error)
        return cleaned

    def _refuse(self, error: InputError) -> None:
        name = self.about.get(error.subject)
        like = getattr(self.fields.get(name), "like", "")
        instead = f"Type it like {like}." if like and error.instead else error.instead
        self.add_error(name, f"{error.problem} {instead}".strip())


class MeterField(forms.ModelChoiceField):
    """A voltmeter of the firm, named with its input."""

    def label_from_instance(self, instrument):
        farads = (instrument.input_capacitance_pf or 0) * 1e-12
        return f"{instrument.serial}, {inputs.Meter(float(instrument.input_resistance_ohm), farads)}"


class ReadingForm(SectionForm):
    """One reading and its meter: an instrument of the firm, or what its data sheet says."""

    volts = QuantityField("V", label="Shows (V)", like="100")
    instrument = MeterField(
        Instrument.objects.none(), label="Meter", required=False, empty_label="Another, as typed"
    )
    resistance_ohm = QuantityField("Ω", label="Input resistance (Ω)", like="10M or 300k")
    capacitance_f = QuantityField("F", label="Input capacitance (pF)", like="100p", bare="p")
    gain_percent = QuantityField("%", label="Accuracy (± %)", like="2")
    about = {
        "meter reading": "volts",
        "meter input resistance": "resistance_ohm",
        "meter input capacitance": "capacitance_f",
        "meter gain error": "gain_percent",
    }

    def __init__(self, *args, meters, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["instrument"].queryset = meters

    def build(self, section):
        entry = self.entry(section)
        return inputs.meter_reading(entry) if entry else None

    def entry(self, section: dict[str, Any]) -> dict[str, Any] | None:
        """The reading in SI units, None for a row left empty. An instrument brings its own input."""
        instrument = section.get("instrument")
        gain = section.get("gain_percent")
        ohm, farad = section.get("resistance_ohm"), section.get("capacitance_f")
        if section.get("volts") is None and instrument is None and ohm is None:
            return None
        if instrument:
            ohm = float(instrument.input_resistance_ohm)
            farad = (instrument.input_capacitance_pf or 0) * 1e-12
        return {
            "volts": section.get("volts"),
            "instrument": instrument.pk if instrument else None,
            "meter": str(instrument) if instrument else "",
            "resistance_ohm": ohm,
            "capacitance_f": farad,
            "gain_error": None if gain is None else gain / 100,
        }


class SupplyForm(SectionForm):
    """The supply, the lamp and what surrounds a part."""

    supply_v = QuantityField("V", label="Supply to neutral (V)", like="230")
    highest_v = QuantityField("V", label="At its highest (V)", like="253")
    frequency_hz = QuantityField("Hz", label="Frequency (Hz)", like="50")
    glow_low_v = QuantityField("V", label="Lamp surely dark up to (V)", like="10")
    glow_high_v = QuantityField("V", label="Lamp surely glows from (V)", like="40")
    hours_on = QuantityField("h", label="Hours on in a year", like="1500")
    price_per_kwh = QuantityField("", label="Price of a kWh", like="0.28")
    rcd_rated_a = QuantityField("A", label="RCD, IΔn (mA)", like="30", bare="m")
    standing_a = QuantityField("A", label="Standing earth current (mA)", like="0.5", bare="m")
    ambient_c = QuantityField("°C", label="Air round the part (°C)", like="25")
    reach = forms.ChoiceField(
        label="A hand can",
        choices=[
            (Reach.NOT_TOUCHED, "not touch it in normal use"),
            (Reach.TOUCHED, "touch it"),
            (Reach.HELD, "hold it"),
        ],
        required=False,
    )
    metal = forms.BooleanField(label="Metal case", required=False)
    enclosed = forms.BooleanField(label="Shut in a box or under insulation", required=False)
    about = {
        "supply voltage": "supply_v",
        "highest supply voltage": "highest_v",
        "supply frequency": "frequency_hz",
        "glow threshold": "glow_low_v",
        "air temperature": "ambient_c",
        "hours energised": "hours_on",
        "RCD rating": "rcd_rated_a",
        "standing current": "standing_a",
        "price": "price_per_kwh",
    }

    def build(self, section):
        return inputs.conditions(section)

    def clean_reach(self):
        return self.cleaned_data["reach"] or Reach.NOT_TOUCHED.value


class PlaceForm(SectionForm):
    """What is found at the place."""

    run_m = QuantityField("m", label="Metres of parallel run", like="20")
    can_reroute = forms.BooleanField(label="The switch wire can be rerouted", required=False)
    spare_core = forms.BooleanField(label="There is a spare core", required=False)
    idle_core_floating = forms.BooleanField(label="An unused core is left floating", required=False)
    no_cpc = forms.BooleanField(label="The switch cable has no cpc", required=False)
    room_for_double_pole = forms.BooleanField(label="Both poles can be switched", required=False)
    neutral_at_control = forms.BooleanField(label="There is a neutral at the control", required=False)
    electronic_control = forms.BooleanField(label="The control is electronic", required=False)
    dimmer_below_minimum = forms.BooleanField(label="The dimmer is below its minimum load", required=False)
    about = {"parallel run": "run_m"}

    def build(self, section):
        inputs.situation(section)
        return inputs.run_m(section)


_NATURES = [
    (Nature.CAPACITIVE, "a network across its contact, or a capacitor-fed supply"),
    (Nature.RESISTIVE, "anything else"),
]


class ControlForm(SectionForm):
    """A timer, sensor or smart switch in series with the lamp."""

    off_current_a = QuantityField("A", label="Off-state current (mA)", like="0.5", bare="m")
    nature = forms.ChoiceField(label="Fed through", choices=_NATURES, required=False)
    about = {"off-state current": "off_current_a"}

    def build(self, section):
        return inputs.control(section)


class DeviceForm(SectionForm):
    """Readings of a packaged device. All but the current are taken with it isolated and disconnected."""

    resistance_ohm = QuantityField("Ω", label="Ohmmeter (Ω)", like="15k")
    shows_open = forms.BooleanField(label="The ohmmeter shows open", required=False)
    capacitance_f = QuantityField("F", label="Capacitance (µF)", like="0.1", bare="µ")
    on_current_a = QuantityField("A", label="Current when on (mA)", like="15", bare="m")
    case_c = QuantityField("°C", label="Case after half an hour (°C)", like="68")
    air_c = QuantityField("°C", label="Air (°C)", like="20")
    about = {
        "ohmmeter": "resistance_ohm",
        "capacitance meter": "capacitance_f",
        "current when on": "on_current_a",
        "case temperature": "case_c",
        "air temperature": "air_c",
        "packaged device": "resistance_ohm",
    }

    def build(self, section):
        return inputs.device(section)


_EDGES = [("", "not known"), (Edge.LEADING, "leading edge"), (Edge.TRAILING, "trailing edge")]


class DimmerForm(SectionForm):
    """A dimmer and its lamps."""

    lamp_w = QuantityField("W", label="One lamp (W)", like="5")
    lamp_count = QuantityField("", label="How many lamps", like="3")
    minimum_w = QuantityField("W", label="Dimmer, minimum load (W)", like="25")
    maximum_w = QuantityField("W", label="Dimmer, maximum load (W)", like="150")
    dimmer_edge = forms.ChoiceField(label="The dimmer cuts the", choices=_EDGES, required=False)
    lamp_edge = forms.ChoiceField(label="The lamps are made for the", choices=_EDGES, required=False)
    about = {
        "lamp power": "lamp_w",
        "lamp count": "lamp_count",
        "minimum load": "minimum_w",
        "maximum load": "maximum_w",
    }

    def build(self, section):
        return inputs.dimmer(section, Conditions())

    def clean_lamp_count(self):
        count = self.cleaned_data["lamp_count"]
        return int(count) if count is not None and count == int(count) else count


class OwnForm(Shown, ValuesForm):
    """The user's own part, to be compared with the others."""

    class Meta:
        model = ParallelLoad
        fields = ("kind", *VALUES, "tolerance_percent", "count")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        kinds = {kind: LoadKind(kind).label for kind in REMEDY_KINDS}
        self.fields["kind"].choices = [("", "None"), *kinds.items()]
        for name in ("kind", "count"):
            self.fields[name].required = False

    def clean_count(self):
        return self.cleaned_data["count"] or 1

    def clean(self):
        cleaned = super().clean()
        if not self.errors:
            try:
                inputs.own_part(self.section())
            except InputError as error:
                name = "capacitance_uf" if cleaned.get("kind") == LoadKind.CAPACITOR else "resistance_ohm"
                self.add_error(name, f"{error.problem} Type it like {self.fields[name].like}.")
        return cleaned

    def _post_clean(self):
        """A part that is only compared needs no place: what the kind lacks is told by the physics."""
        if self.cleaned_data.get("kind"):
            super()._post_clean()

    def section(self) -> dict[str, Any]:
        return {name: value for name, value in self.cleaned_data.items() if value not in (None, "")}


class ConclusionForm(Shown, forms.ModelForm):
    """What the electrician concludes; never what the weights say."""

    class Meta:
        model = GlowWorksheet
        fields = ("complaint", "cause", "conclusion")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["cause"].choices = [
            ("", "Not concluded yet"),
            *((key, f"{name[:1].upper()}{name[1:]}") for key, name in CAUSE_CHOICES),
        ]


class EndForm(SectionForm):
    """The day on which a case ended."""

    on = forms.DateField(label="On", widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}))

    def build(self, section):
        """Nothing of it is calculated on."""

    def clean_on(self):
        if self.cleaned_data["on"] > timezone.localdate():
            raise forms.ValidationError("That day is still to come. Give the day it was done.")
        return self.cleaned_data["on"]


class FitForm(EndForm):
    """Where the remedy is fitted, for the next tester. Only looked at when one is."""

    place = forms.CharField(
        label="Where exactly",
        max_length=200,
        error_messages={"required": "Say where it is, so that the next tester finds it."},
    )
    access = forms.CharField(label="How to get at it", max_length=200, required=False)
    access_minutes = forms.IntegerField(
        label="Minutes to get at it", required=False, min_value=0, max_value=600, widget=forms.TextInput
    )
    is_hidden = forms.BooleanField(label="It is hidden from view", required=False)
    field_order = ("place", "access", "access_minutes", "on", "is_hidden")


class CloseForm(EndForm):
    """What was done instead of leaving a part."""

    outcome = forms.CharField(
        label="What was done instead",
        max_length=300,
        error_messages={"required": "Say what was done, or why nothing was."},
    )
    field_order = ("outcome", "on")


SECTIONS = {
    "supply": SupplyForm,
    "place": PlaceForm,
    "control": ControlForm,
    "device": DeviceForm,
    "dimmer": DimmerForm,
}


class WorksheetForms:
    """Every form of the page of one worksheet. What does not hold is left out of ``entered`` and told."""

    def __init__(self, worksheet: GlowWorksheet, meters, data=None):
        self.worksheet, self.data = worksheet, data
        self.readings = [
            ReadingForm(data, prefix=f"reading{n}", meters=meters, initial=self._reading(n))
            for n in range(METERS)
        ]
        self.sections = {
            name: form(data, prefix=name, initial=self._section(name)) for name, form in SECTIONS.items()
        }
        self.own = OwnForm(data, prefix="own", initial=worksheet.inputs.get("own", {}))
        self.conclusion = ConclusionForm(data, prefix="case", instance=worksheet)

    def _section(self, name: str) -> dict[str, Any]:
        return (
            inputs.supply_section(self.worksheet) if name == "supply" else self.worksheet.inputs.get(name, {})
        )

    def _reading(self, number: int) -> dict[str, Any]:
        if number >= len(self.worksheet.readings):
            return {}
        entry = dict(self.worksheet.readings[number])
        gain = entry.pop("gain_error", None)
        if entry.get("instrument"):
            entry.pop("resistance_ohm", None)
            entry.pop("capacitance_f", None)
        return {**entry, "gain_percent": None if gain is None else gain * 100}

    def every(self) -> Iterator[forms.BaseForm]:
        yield from self.readings
        yield from self.sections.values()
        yield self.own
        yield self.conclusion

    @property
    def are_valid(self) -> bool:
        return all(form.is_valid() for form in self.every())

    def typed(self) -> dict[str, Any]:
        """What holds of all that was typed, to calculate on: of the readings, each row that holds."""
        return {**self.entered(), "readings": self._readings()}

    def entered(self) -> dict[str, Any]:
        """What may be kept of all that was typed, by field of the worksheet. Readings belong together: none
        is kept while one does not hold."""
        told: dict[str, Any] = {"answers": self._answers(), "chosen": self.data.get("chosen", "")[:120]}
        if all(form.is_valid() for form in self.readings):
            told["readings"] = self._readings()
        told["inputs"] = {name: form.cleaned_data for name, form in self.sections.items() if form.is_valid()}
        if self.own.is_valid():
            told["inputs"]["own"] = self.own.section() if self.own.cleaned_data.get("kind") else {}
        if self.conclusion.is_valid():
            told |= self.conclusion.cleaned_data
        return told

    def _readings(self) -> list[dict[str, Any]]:
        entries = (form.entry(form.cleaned_data) for form in self.readings if form.is_valid())
        return [entry for entry in entries if entry]

    def _answers(self) -> dict[str, str]:
        """The answers as they stand, with the one just given. ``?`` cannot be answered there."""
        given = {key: self.data.get(f"answer.{key}", "") for key in QUESTION_KEYS}
        question, _, answer = self.data.get("answer", "").partition("=")
        if question in given:
            given[question] = answer
        return {
            key: "" if answer == "?" else answer
            for key, answer in given.items()
            if answer == "?" or answer in answers_of(key)
        }
