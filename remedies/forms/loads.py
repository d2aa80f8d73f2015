"""What is typed of a load and of a usual part, and of what was done to a load."""

from decimal import Decimal

from crispy_forms.layout import HTML
from django import forms
from django.db.models import TextChoices
from django.utils import timezone

from inspections.forms.layout import LaidOut, field_names
from inspections.forms.photos import PhotoField
from remedies.enums import LoadState, Origin
from remedies.forms.values import VALUES, ValuesForm
from remedies.models import LoadPreset, ParallelLoad
from remedies.wording import ohms, plain

PRESET = (("", ("name*", "kind*")), ("Values", (*VALUES, "tolerance_percent")))
LOAD = (
    ("The load", ("kind*", "count", *VALUES)),
    ("Where", ("place*", "is_hidden*", "photo*", "remove_photo*")),
    ("How it came to be known", ("known*", "since")),
)
_NOT_OF_MODEL = ("known", "remove_photo")
MORE = (
    "More, if it is known",
    ("connection*", "tolerance_percent", "access*", "access_minutes", "reason*", "remarks*"),
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

    begins_typing = False

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

    begins_typing = False

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
        label="What you found",
        choices=[(FOUND, "It is there"), (NOT_THERE, "There is nothing there")],
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether it was found."},
    )
    field_order = ("answer", "on", "reason")

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("answer") == self.NOT_THERE and not cleaned.get("reason"):
            self.add_error("reason", "Say how you know that it is not there.")
        return cleaned
