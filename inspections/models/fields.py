"""Fields of our own, for models and for the forms made from them."""

import re
from functools import lru_cache

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from inspections.rules.readings import BLANK, Reading, ReadingError


class ReadingField(models.CharField):
    """A Reading, kept as its text. Blank is the empty text, never NULL."""

    description = "A reading as written"
    parse = staticmethod(lru_cache(maxsize=4096)(Reading.parse))

    def __init__(self, *args, **kwargs):
        kwargs.setdefault("max_length", 16)
        kwargs.setdefault("blank", True)
        kwargs.setdefault("default", "")
        super().__init__(*args, **kwargs)

    def from_db_value(self, value, expression, connection):
        return self.parse(value) if value else BLANK

    def to_python(self, value):
        if isinstance(value, Reading):
            return value
        try:
            return self.parse("" if value is None else str(value))
        except ReadingError as error:
            raise ValidationError(str(error), code="reading") from None

    def get_prep_value(self, value):
        return self.to_python(value).text

    def value_to_string(self, obj):
        return self.get_prep_value(self.value_from_object(obj))

    def run_validators(self, value):
        super().run_validators(value.text)

    def get_default(self):
        return BLANK

    def formfield(self, **kwargs):
        return super().formfield(form_class=ReadingFormField, **{"parse": self.parse, **kwargs})


class TickField(ReadingField):
    """A pass-or-fail reading: ✓, ✗ or a word, never a number."""

    description = "A pass or fail reading"
    parse = staticmethod(lru_cache(maxsize=256)(Reading.parse_tick))


class ReadingFormField(forms.CharField):
    """Text in the reading notation, cleaned to a Reading."""

    def __init__(self, *, parse=Reading.parse, **kwargs):
        super().__init__(**kwargs)
        self.parse = parse

    def to_python(self, value):
        if isinstance(value, Reading):
            return value
        try:
            return self.parse(super().to_python(value))
        except ReadingError as error:
            raise forms.ValidationError(str(error), code="reading") from None

    def run_validators(self, value):
        super().run_validators(value.text)


def natural_sort_key(*parts: str) -> str:
    """A text that sorts as people count: way 2 before way 10, and L1 before L2.

    >>> natural_sort_key("2", "L1") < natural_sort_key("10", "L1")
    True
    """
    return " ".join(re.sub(r"\d+", lambda digits: digits[0].zfill(6), part.upper()) for part in parts)


class NaturalSortField(models.CharField):
    """Filled from other fields of the row at every save, in bulk too, so that the database can sort ways."""

    def __init__(self, *sources: str, **kwargs):
        self.sources = sources
        kwargs.setdefault("max_length", 60)
        kwargs.setdefault("editable", False)
        kwargs.setdefault("default", "")
        super().__init__(**kwargs)

    def deconstruct(self):
        name, path, _, kwargs = super().deconstruct()
        return name, path, list(self.sources), kwargs

    def pre_save(self, model_instance, add):
        key = natural_sort_key(*(getattr(model_instance, source) for source in self.sources))
        setattr(model_instance, self.attname, key[: self.max_length])
        return getattr(model_instance, self.attname)
