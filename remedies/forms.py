"""Forms of the load register."""

import re
from copy import copy
from decimal import Decimal

from crispy_forms.layout import HTML
from django import forms
from django.db.models import TextChoices
from django.utils import timezone

from inspections.forms.layout import LaidOut, field_names
from inspections.forms.photos import PhotoField
from inspections.intake.units import convert, plain_text, read_unit
from inspections.models import Instrument
from inspections.models.result import INSULATION_TEST_VOLTAGES
from inspections.rules.readings import Reading, ReadingError
from remedies.enums import CapacitorClass, LoadKind, LoadState, Origin
from remedies.explained import AlsoKnown
from remedies.labels import STOCKS
from remedies.models import LoadPreset, ParallelLoad
from remedies.physics.explain import Settling
from remedies.selectors import ALL_STATES, RegisterFilter
from remedies.wording import ohms, plain

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

_VALUE = re.compile(r"(\d+(?:\.\d+)?|\.\d+)\s*(\D*)")
_CODED = re.compile(r"(\d+)([RkKMnµup])(\d+)")  # 4k7, as parts are marked
_MARK = {"R": ""}


class MultipleField(forms.DecimalField):
    """A quantity as people write it and parts are marked: ``220000``, ``220k``, ``4k7``, ``470R``, ``100 n``.

    unit: the unit its column is kept in, which a bare number means.
    """

    def __init__(self, *, unit: str, like: str, **kwargs):
        super().__init__(**{"required": False, **kwargs})
        self.unit, self.like = read_unit(unit), like
        self.widget = forms.TextInput(attrs={"autocomplete": "off"})

    def to_python(self, value):
        written = plain_text(str(value or ""))
        if not written:
            return None
        if coded := _CODED.fullmatch(written):
            whole, mark, part = coded.groups()
            written = f"{whole}.{part}{_MARK.get(mark, mark)}"
        match = _VALUE.fullmatch(written)
        given = self._unit_of(match[2]) if match else None
        if given is None or given.base != self.unit.base:
            raise forms.ValidationError(
                f"“{str(value).strip()}” is not understood here. Type it like {self.like}."
            )
        return super().to_python(convert(match[1], given, self.unit))

    def _unit_of(self, written):
        """The unit typed; a multiple alone, such as ``k``, is of the field's own base unit."""
        if not written or (written == "R" and self.unit.base == "Ω"):
            return self.unit
        return read_unit(written) or read_unit(written + self.unit.base)


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


PRESET = (("", ("name*", "kind*")), ("Values", (*VALUES, "tolerance_percent")))
LOAD = (
    ("The load", ("kind*", "count", *VALUES)),
    ("Where", ("place*", "is_hidden*", "photo*", "remove_photo*")),
    ("How it came to be known", ("known*", "since")),
)
_NOT_OF_MODEL = ("known", "remove_photo")
MORE = (
    "More, if it is known",
    ("connection", "tolerance_percent", "access*", "access_minutes", "reason*", "remarks*"),
)


class PresetForm(ValuesForm):
    parts = PRESET

    class Meta:
        model = LoadPreset
        fields = field_names(PRESET)
        labels = {"name": "What you call it", "kind": "What it is"}
        error_messages = {"name": {"required": "Give it a name, such as “X2 across a lamp”."}}


def as_typed(preset: LoadPreset) -> dict[str, str]:
    """The values of a preset as a person would type them, by field name."""
    return {name: _typed(name, value) for name, value in preset.values().items()}


def _typed(name, value):
    if not isinstance(value, Decimal):
        return "" if value is None else str(value)
    return ohms(value) if name.endswith("_ohm") else plain(value)


class Known(TextChoices):
    """How a load came to be known, as the person recording it says it."""

    FOUND = "found", "Found there"
    FITTED = "fitted", "Fitted by us"
    SUSPECTED = "suspected", "Suspected, not seen yet"


class LoadForm(ValuesForm):
    """A load as found, fitted or suspected. ``instance`` knows its circuit. What is only sometimes known
    waits folded up at the end."""

    parts = LOAD
    known = forms.ChoiceField(
        label="It was", choices=Known.choices, initial=Known.FOUND, widget=forms.RadioSelect
    )
    photo = PhotoField(label="Photograph", help_text="JPEG, PNG or WebP, up to 10 MB")
    remove_photo = forms.BooleanField(label="Take the photograph off this entry", required=False)

    class Meta:
        model = ParallelLoad
        fields = [name for name in field_names((*LOAD, MORE)) if name not in _NOT_OF_MODEL]
        labels = {"kind": "What it is", "is_hidden": "It is hidden from view", "since": "On"}
        help_texts = {
            "place": "So that a stranger finds it: pantry ceiling, above the rose",
            "access": "Behind the luminaire, two screws",
        }
        error_messages = {"place": {"required": "Say where it is, so that the next tester finds it."}}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["photo"].widget.attrs["capture"] = "environment"
        if not self.instance.photo:
            del self.fields["remove_photo"]
        if self.instance.pk:
            del self.fields["known"]

    @property
    def helper(self):
        helper = super().helper
        heading, names = MORE
        opened = " open" if self.more_is_needed else ""
        helper.layout.append(HTML(f"<details class='more'{opened}><summary>{heading}</summary>"))
        helper.layout.append(self._part("", names))
        helper.layout.append(HTML("</details>"))
        return helper

    @property
    def more_is_needed(self):
        """Whether something under “more” was refused, or is already filled in."""
        names = field_names((MORE,))
        return bool(set(names) & set(self.errors)) or any(
            self.initial.get(n) for n in names if n != "connection"
        )

    def clean_since(self):
        return _not_in_the_future(self.cleaned_data["since"])

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("remove_photo") and "photo" not in self.files:
            cleaned["photo"] = False
        if known := cleaned.get("known"):
            self.instance.state = LoadState.SUSPECTED if known == Known.SUSPECTED else LoadState.IN_PLACE
            self.instance.origin = Origin.FITTED if known == Known.FITTED else Origin.FOUND
        return cleaned


class ReplacementForm(LoadForm):
    """What is fitted in the stead of another load, and who did it."""

    by = forms.CharField(label="Taken out and replaced by", max_length=120)

    parts = (*LOAD[:2], ("When, and by whom", ("since", "by")))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        del self.fields["known"]


def _not_in_the_future(day):
    if day and day > timezone.localdate():
        raise forms.ValidationError("That day has not come yet.")
    return day


class DayForm(LaidOut, forms.Form):
    """When something was done to a load, and why."""

    on = forms.DateField(label="On", error_messages={"required": "Say on which day."})
    reason = forms.CharField(label="Remark", required=False, max_length=80)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial.setdefault("on", timezone.localdate())

    def clean_on(self):
        return _not_in_the_future(self.cleaned_data["on"])


class TakeOutForm(DayForm):
    by = forms.CharField(
        label="Taken out by", max_length=120, error_messages={"required": "Say who took it out."}
    )
    field_order = ("on", "by", "reason")


class SuspicionForm(DayForm):
    """What became of a suspicion."""

    FOUND, NOT_THERE = "found", "not_there"
    answer = forms.ChoiceField(
        label="Is it there?",
        choices=[(FOUND, "Yes, it was found"), (NOT_THERE, "No, there is nothing there")],
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether it was found."},
    )
    field_order = ("answer", "on", "reason")

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("answer") == self.NOT_THERE and not cleaned.get("reason"):
            self.add_error("reason", "Say how you know that it is not there.")
        return cleaned


class AlsoKnownForm(LaidOut, forms.Form):
    """What was seen beside a live-live reading. Nothing of it is needed, and nothing of it is kept."""

    settling = forms.ChoiceField(
        label="While the button was held, the reading",
        choices=[
            (Settling.NOT_WATCHED, "was not watched"),
            (Settling.STEADY, "stood still at once"),
            (Settling.CLIMBED, "climbed"),
        ],
        initial=Settling.NOT_WATCHED,
        widget=forms.RadioSelect,
    )
    settled_after_s = forms.FloatField(
        label="It climbed for (s)", required=False, min_value=0, max_value=3600, help_text="If it was timed"
    )
    second = forms.CharField(
        label="Second reading (MΩ)", required=False, help_text="As shown, such as 0.42 or >200"
    )
    second_v = forms.TypedChoiceField(
        label="Taken at",
        coerce=int,
        empty_value=None,
        required=False,
        choices=[("", "Choose its voltage"), *INSULATION_TEST_VOLTAGES],
    )
    tester = forms.ModelChoiceField(
        label="Tester", required=False, queryset=Instrument.objects.none(), empty_label="Not recorded"
    )
    current_ma = forms.DecimalField(
        label="Its current limit (mA)",
        required=False,
        min_value=1,
        max_value=15,
        help_text="1 to 15 mA. Empty: as recorded of it",
    )
    parts = (
        ("", ("settling*", "settled_after_s*")),
        ("A second reading, at another voltage", ("second*", "second_v*")),
        ("The tester", ("tester*", "current_ma*")),
    )

    def __init__(self, *args, testers, first_v, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["tester"].queryset = testers
        self.first_v = first_v

    def clean_second(self):
        written = self.cleaned_data["second"]
        try:
            reading = Reading.parse(written)
        except ReadingError as error:
            raise forms.ValidationError(str(error)) from error
        if reading and not reading.is_measured:
            raise forms.ValidationError(
                f"“{written}” is no value. Type what the tester showed, such as 0.42."
            )
        return reading

    def clean(self):
        cleaned = super().clean()
        volts = cleaned.get("second_v")
        if cleaned.get("second") and not volts:
            self.add_error("second_v", "Say at which voltage it was taken.")
        elif cleaned.get("second") and volts == self.first_v:
            self.add_error(
                "second_v",
                f"The first was taken at {volts} V too. Only another voltage tells something more.",
            )
        return cleaned

    def known(self) -> AlsoKnown:
        """What was typed; of a form with mistakes, or not filled in yet, what stands as usual."""
        if not self.is_valid():
            return AlsoKnown(tester=self.initial.get("tester"))
        typed = self.cleaned_data
        return AlsoKnown(
            settling=Settling(typed["settling"]),
            settled_after_s=typed["settled_after_s"] or None,
            second=(typed["second"], typed["second_v"]) if typed["second"] else None,
            tester=_with_limit(typed["tester"], typed["current_ma"]),
        )


def _with_limit(tester, current_ma):
    """The tester, or one of which nothing else is known, with the current limit typed."""
    if current_ma is None:
        return tester
    limited = copy(tester) if tester else Instrument()
    limited.insulation_current_ma = current_ma
    return limited


class PointsForm(LaidOut, forms.Form):
    """The points of a circuit, as typed."""

    points = forms.CharField(
        label="Points in the order of wiring, from the board on",
        help_text="One a line: the place; minutes to get at it. Without minutes, what is usual is taken.",
        required=False,
        widget=forms.Textarea,
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["points"].widget.attrs["rows"] = 12


class PrintLabelForm(LaidOut, forms.Form):
    """The stock a label is printed on, and how many places of its sheet are already used."""

    stock = forms.ChoiceField(label="Label stock", choices=[(stock.key, stock.name) for stock in STOCKS])
    skip = forms.IntegerField(
        label="Places already used",
        required=False,
        min_value=0,
        help_text="On a sheet of labels, row by row from the top",
    )

    def clean(self):
        cleaned = super().clean()
        stock = next((one for one in STOCKS if one.key == cleaned.get("stock")), None)
        skip = cleaned.get("skip") or 0
        if stock and skip >= stock.places > 1:
            self.add_error("skip", f"That sheet has {stock.places} labels: type 0 to {stock.places - 1}.")
        elif stock and skip and stock.places == 1:
            self.add_error("skip", "This stock has one label to a page: type 0.")
        return {**cleaned, "skip": skip}

    def next_place(self) -> dict:
        """What to begin from the next time: the same stock, and the place after this one on its sheet."""
        chosen = self.cleaned_data
        places = next(stock.places for stock in STOCKS if stock.key == chosen["stock"])
        return {"stock": chosen["stock"], "skip": (chosen["skip"] + 1) % places}


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
