"""What was seen beside a live-live reading."""

from copy import copy

from django import forms

from inspections.forms.layout import LaidOut
from inspections.models import Instrument
from inspections.models.result import INSULATION_TEST_VOLTAGES
from inspections.rules.readings import Reading, ReadingError
from remedies.explained import AlsoKnown
from remedies.physics.measured import Settling


class AlsoKnownForm(LaidOut, forms.Form):
    """What was seen beside a live-live reading. Nothing of it is needed, and nothing of it is kept."""

    begins_typing = False

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
                f"“{written}” is not a value. Type what the tester showed, such as 0.42."
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
