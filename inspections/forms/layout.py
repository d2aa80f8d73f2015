"""What every ordinary form has in common: how it is laid out, how numbers and dates are typed, and how
what the service refuses comes back to the field it is about."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, Layout
from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import IntegrityError, transaction
from django.utils.html import format_html, format_html_join

from inspections.forms.help import add_terms
from inspections.rules import figures

NOTHING_YET = "This is needed. Fill it in."
NOT_A_NUMBER = "This is not a number. Type digits with a point, such as 2.5"
NOT_WHOLE = "This is not a whole number. Type digits only, such as 12"
NOT_A_DATE = "This is not a date. Type it as year-month-day, such as 2026-11-25"
TYPED = (forms.TextInput, forms.Textarea, forms.Select)
SAVED_AT_ONCE = "Someone else saved this at the same moment. Look at what is there now, then save again."


def plain(number: Decimal | None) -> str:
    """A number without the zeros that its column would add.

    >>> plain(Decimal("2.50")), plain(Decimal("100.00")), plain(None)
    ('2.5', '100', '')
    """
    return "" if number is None else figures.plain(number)


class SuggestingInput(forms.TextInput):
    """A text field that offers what is usual, and takes anything."""

    def __init__(self, suggestions=(), attrs=None):
        super().__init__({"autocomplete": "off", **(attrs or {})})
        self.suggestions = suggestions

    def render(self, name, value, attrs=None, renderer=None):
        usual = f"usual_{name}"
        field = super().render(name, value, {**(attrs or {}), "list": usual}, renderer)
        options = format_html_join("", '<option value="{}"></option>', ((text,) for text in self.suggestions))
        return field + format_html('<datalist id="{}">{}</datalist>', usual, options)


Parts = tuple[tuple[str, tuple[str, ...]], ...]


def field_names(parts: Parts) -> list[str]:
    """The fields that ``parts`` lay out."""
    return [name.rstrip("*") for _, names in parts for name in names]


class LaidOut:
    """Mixed into a form. ``parts`` lists its headings with the fields under each; a field named with a
    trailing ``*`` takes the whole width. ``begins_typing``: whether the page opens at the first empty field;
    not where there is something to read before it, which a phone would scroll away."""

    parts: Parts = ()
    begins_typing = True

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            _suit_to_typing(field)
        add_terms(self.fields)
        self.initial = {
            name: plain(value) if isinstance(value, Decimal) else value
            for name, value in self.initial.items()
        }

    def _begin_where_typing_begins(self):
        """Put the cursor into the first field of a new row that nothing stands in yet."""
        if not self.begins_typing or self.is_bound or getattr(getattr(self, "instance", None), "pk", None):
            return
        for name in field_names(self._parts()):
            field = self.fields.get(name)
            if field and isinstance(field.widget, TYPED) and not self.get_initial_for_field(field, name):
                field.widget.attrs["autofocus"] = True
                return

    @property
    def helper(self):
        self._begin_where_typing_begins()
        helper = FormHelper()
        helper.form_tag = False
        helper.disable_csrf = True
        helper.layout = Layout(
            *(self._part(heading, names) for heading, names in self._parts() if self._there(names))
        )
        return helper

    def _parts(self):
        return self.parts or (("", tuple(self.fields)),)

    def _part(self, heading, names):
        there = map(self._place, self._there(names))
        grid = Div(*there, css_class="field-grid" if self.parts else "")
        return Fieldset(heading, grid, css_class="part") if heading else grid

    def _there(self, names):
        return [name for name in names if name.rstrip("*") in self.fields]

    def _place(self, name):
        return Div(name.rstrip("*"), css_class="whole") if name.endswith("*") else name

    def refuse(self, error: ValidationError):
        """Put what the service refused beside the fields it is about."""
        if not hasattr(error, "error_dict"):
            self.add_error(None, error)
            return
        for name, errors in error.error_dict.items():
            here = name if name != NON_FIELD_ERRORS and name in self.fields else None
            self.add_error(here, errors)


def saved(form, save: Callable[[], object]) -> bool:
    """Whether the form held and ``save`` accepted it. What was refused stands on the form."""
    if not form.is_valid():
        return False
    try:
        with transaction.atomic():
            save()
    except ValidationError as error:
        form.refuse(error)
        return False
    except IntegrityError:
        form.add_error(None, SAVED_AT_ONCE)
        return False
    return True


def _suit_to_typing(field):
    """Numbers are typed as text, so that a browser never swallows what it does not understand."""
    if field.error_messages.get("required") == forms.Field.default_error_messages["required"]:
        field.error_messages["required"] = NOTHING_YET
    if isinstance(field, forms.IntegerField) and type(field.widget) is forms.NumberInput:
        whole = not isinstance(field, (forms.DecimalField, forms.FloatField))
        field.widget = forms.TextInput(
            attrs={"inputmode": "numeric" if whole else "decimal", "autocomplete": "off"}
        )
        field.error_messages["invalid"] = NOT_WHOLE if whole else NOT_A_NUMBER
    elif isinstance(field, forms.DateField):
        field.widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
        field.error_messages["invalid"] = NOT_A_DATE
        if isinstance(field.initial, date):
            field.initial = field.initial.isoformat()
    elif isinstance(field.widget, forms.EmailInput):
        field.widget.attrs.setdefault("autocomplete", "off")  # seldom the address of whoever types
    elif type(field.widget) is forms.Textarea:
        field.widget.attrs["rows"] = 3
