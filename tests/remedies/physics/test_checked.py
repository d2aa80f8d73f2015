"""Numbers a person typed: what cannot be is refused, saying what to type instead."""

import math

import pytest

from remedies.physics.checked import InputError, number


def _volts(value: float | None) -> float:
    return number("supply voltage", value, "V", low=20, high=1000, instead="Give 230.")


def test_a_value_within_its_limits_comes_back_as_a_float() -> None:
    assert [_volts(value) for value in (20, 230.5, 1000)] == [20.0, 230.5, 1000.0]


@pytest.mark.parametrize(
    ("value", "why"),
    [
        (None, "nothing was given"),
        (-230, "-230 V is outside 20 V to 1 kV"),
        (0, "0 V is outside"),
        (10e3, "10 kV is outside"),
        (math.inf, "∞ V is outside"),
        (math.nan, "“nan” is not a number"),
        ("230", "“230” is not a number"),
        (True, "“True” is not a number"),
    ],
)
def test_a_value_that_cannot_be_says_which_why_and_what_instead(value: object, why: str) -> None:
    with pytest.raises(InputError) as raised:
        _volts(value)  # type: ignore[arg-type]
    assert str(raised.value).startswith("supply voltage: ")
    assert why in str(raised.value)
    assert str(raised.value).endswith("Give 230.")
    assert raised.value.subject == "supply voltage"
    assert raised.value.instead == "Give 230."
    assert str(raised.value) == f"supply voltage: {raised.value.problem} Give 230."
    assert isinstance(raised.value, ValueError)


def test_infinity_is_a_value_only_where_it_means_an_open_circuit() -> None:
    assert number("leak", math.inf, "Ω", low=1, high=1e15, instead="", allow_infinite=True) == math.inf


def test_limits_are_written_with_the_multiples_of_the_trade() -> None:
    with pytest.raises(InputError, match="100 pF is outside 1 nF to 1 µF"):
        number("capacitor", 100e-12, "F", low=1e-9, high=1e-6, instead="Give farads.")
    with pytest.raises(InputError, match="-41 °C is outside -40 °C to 150 °C"):
        number("air temperature", -41, "°C", low=-40, high=150, instead="Give °C.")
