"""Quantities as they are typed, to SI values."""

import pytest
from django.core.exceptions import ValidationError

from remedies.forms.fields import MultipleField, QuantityField

OHM = QuantityField("Ω", like="10M or 300k")
MILLI = QuantityField("A", like="0.5", bare="m")
PICO = QuantityField("F", like="100p", bare="p")
PLAIN = QuantityField("", like="0.28")


@pytest.mark.parametrize(
    ("field", "typed", "value"),
    [
        (OHM, "10M", 10e6),
        (OHM, "10 MΩ", 10e6),
        (OHM, "10e6", 10e6),
        (OHM, "300 kohm", 300e3),
        (OHM, "4k7", 4700),
        (OHM, "470R", 470),
        (OHM, "2R2", 2.2),
        (OHM, "-5", -5),
        (OHM, "−5k", -5000),
        (OHM, "300 k\N{OHM SIGN}", 300e3),
        (MILLI, "0.5", 0.5e-3),
        (MILLI, "500 µA", 0.5e-3),
        (MILLI, "500 \N{GREEK SMALL LETTER MU}A", 0.5e-3),
        (MILLI, "0.5e-3 A", 0.5e-3),
        (PICO, "100", 100e-12),
        (PICO, "0.1 nF", 100e-12),
        (PLAIN, "0.28", 0.28),
        (OHM, "", None),
    ],
)
def test_a_quantity_is_read_with_its_multiple_and_unit(field, typed, value):
    assert field.clean(typed) == (None if value is None else pytest.approx(value))


@pytest.mark.parametrize("typed", ["ten", "10 V", "1,5", "10 M V", "k", "10..5", "nan", "inf", "0x10", "10²"])
def test_what_is_no_quantity_of_the_unit_says_how_to_type_it(typed):
    with pytest.raises(ValidationError, match="Type it like 10M or 300k"):
        OHM.clean(typed)


@pytest.mark.parametrize(("field", "value"), [(OHM, 10e6), (OHM, 4700.0), (MILLI, 0.5e-3), (PICO, 100e-12)])
def test_a_kept_value_is_shown_so_that_it_is_read_back_the_same(field, value):
    assert field.clean(field.prepare_value(value)) == pytest.approx(value)


def test_what_was_typed_stays_as_it_was_typed():
    assert OHM.prepare_value("10 parsecs") == "10 parsecs"


def test_a_raised_figure_is_no_further_figure_of_the_number():
    with pytest.raises(ValidationError, match="“10²” is not understood here"):
        MultipleField(unit="Ω", like="220k").clean("10²")
