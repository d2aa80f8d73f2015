"""Quantities as people write them and parts are marked: ``220000``, ``220k``, ``4k7``, ``470R``, ``100n``."""

import re

from django import forms

from inspections.intake.units import convert, plain_text, read_unit
from remedies.physics.quantity import engineering, significant

_CODED = re.compile(r"(\d+)([RkKMnµup])(\d+)")
_VALUE = re.compile(r"(\d+(?:\.\d+)?|\.\d+)\s*(\D*)")
_NUMBER = re.compile(r"([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(\D*)")
_MULTIPLES = {
    "": 1.0, "p": 1e-12, "n": 1e-9, "u": 1e-6, "µ": 1e-6, "m": 1e-3, "k": 1e3, "K": 1e3, "M": 1e6, "G": 1e9,
}  # fmt: skip
_SPELT = {"Ω": ("ohms", "ohm", "Ω", "R"), "h": ("hours", "h"), "m": ("metres", "m"), "°C": ("°C", "C")}


def _decoded(written: str) -> str:
    """A value as parts are marked, with its point in its place: ``4k7`` to ``4.7k``, ``4R7`` to ``4.7``. Any
    other stays as it is."""
    if coded := _CODED.fullmatch(written):
        whole, mark, part = coded.groups()
        return f"{whole}.{part}{'' if mark == 'R' else mark}"
    return written


def _not_understood(written: str, like: str) -> forms.ValidationError:
    return forms.ValidationError(f"“{written}” is not understood here. Type it like {like}.")


class MultipleField(forms.DecimalField):
    """A quantity to the decimal its column keeps. unit: of the column, which a bare number means. like: an
    example."""

    def __init__(self, *, unit: str, like: str, **kwargs):
        super().__init__(**{"required": False, **kwargs})
        self.unit, self.like = read_unit(unit), like
        self.widget = forms.TextInput(attrs={"autocomplete": "off"})

    def to_python(self, value):
        written = plain_text(str(value or ""))
        if not written:
            return None
        match = _VALUE.fullmatch(_decoded(written))
        given = self._unit_of(match[2]) if match else None
        if given is None or given.base != self.unit.base:
            raise _not_understood(str(value).strip(), self.like)
        return super().to_python(convert(match[1], given, self.unit))

    def _unit_of(self, written):
        """The unit typed; a multiple alone, such as ``k``, is of the field's own base unit."""
        if not written or (written == "R" and self.unit.base == "Ω"):
            return self.unit
        return read_unit(written) or read_unit(written + self.unit.base)


class QuantityField(forms.Field):
    """A quantity with or without its unit, to its SI value: ``10M``, ``10e6``, ``4k7``, ``0.1 µF``.

    unit: of the result. bare: what a number alone means, as a multiple of it: ``m`` for mA. like: an example.
    """

    def __init__(self, unit: str, *, like: str, bare: str = "", **kwargs):
        super().__init__(**{"required": False, **kwargs})
        self.unit, self.bare, self.like = unit, bare, like
        self.widget.attrs.update(autocomplete="off", inputmode="text", spellcheck="false")

    def to_python(self, value):
        written = plain_text(str(value or ""))
        if not written:
            return None
        match = _NUMBER.fullmatch(_decoded(written))
        multiple = self._multiple(match[2].strip()) if match else None
        if match is None or multiple is None or "," in match[1]:
            raise _not_understood(str(value).strip(), self.like)
        return float(match[1]) * multiple

    def _multiple(self, ending: str) -> float | None:
        """What the number is to be multiplied by; None for an ending that is no multiple of the unit."""
        if not ending:
            return _MULTIPLES[self.bare]
        for spelt in _SPELT.get(self.unit, (self.unit,)):
            if spelt and ending.casefold().endswith(spelt.casefold()):
                return _MULTIPLES.get(ending[: -len(spelt)].strip())
        return _MULTIPLES.get(ending)

    def prepare_value(self, value):
        if not isinstance(value, float | int) or isinstance(value, bool):
            return value
        if self.unit in ("V", "A", "Ω", "F", "W"):
            return engineering(value, self.unit, 6)
        return f"{significant(value, 6)} {self.unit}".strip()
