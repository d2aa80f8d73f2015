"""Form fields of our own."""

from django import forms

from inspections.rules.readings import BLANK, Reading, ReadingError


class ReadingFormField(forms.CharField):
    """Text in the reading notation, cleaned to a Reading."""

    def to_python(self, value):
        if isinstance(value, Reading):
            return value
        try:
            return Reading.parse(super().to_python(value))
        except ReadingError as error:
            raise forms.ValidationError(str(error), code="reading") from None

    def run_validators(self, value):
        super().run_validators(value.text)

    def validate(self, value):
        if self.required and value == BLANK:
            raise forms.ValidationError(self.error_messages["required"], code="required")
