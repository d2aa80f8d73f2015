"""IEC 60063 series, and the decades they are drawn from."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remedies.physics.checked import InputError
from remedies.physics.preferred_values import Series, at_or_above, at_or_below, between, significands

# IEC 60063: the two-figure significands.
E6 = (10, 15, 22, 33, 47, 68)
E12 = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)
E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)


def test_the_series_are_those_of_iec_60063() -> None:
    assert (significands(Series.E6), significands(Series.E12), significands(Series.E24)) == (E6, E12, E24)


@pytest.mark.parametrize("series", Series)
def test_a_series_divides_the_decade_into_nearly_equal_ratios(series: Series) -> None:
    # IEC 60063: values follow 10^(k/n). Printed values depart from it by up to 6 % (27, 33, 82 in E24).
    figures = significands(series)
    for index, figure in enumerate(figures):
        assert figure == pytest.approx(10 * 10 ** (index / len(figures)), rel=0.065)


def test_every_value_of_a_coarse_series_is_in_the_finer_one() -> None:
    assert set(E6) < set(E12) < set(E24)


def test_between_gives_both_ends_and_crosses_decades() -> None:
    assert between(0.047e-6, 0.22e-6, Series.E6) == (0.047e-6, 0.068e-6, 0.1e-6, 0.15e-6, 0.22e-6)
    assert between(8.2e3, 15e3, Series.E12) == (8.2e3, 10e3, 12e3, 15e3)
    assert between(5e3, 5.05e3, Series.E6) == ()


@given(st.floats(1e-12, 1e9), st.sampled_from(list(Series)))
def test_neighbouring_values_enclose_any_value(value: float, series: Series) -> None:
    below, above = at_or_below(value, series), at_or_above(value, series)
    # A value within a part in a billion of a preferred one counts as it.
    assert below <= value * (1 + 2e-9)
    assert above >= value * (1 - 2e-9)
    if not math.isclose(below, above):
        assert between(below, above, series) == (below, above)


@given(st.sampled_from(E24), st.integers(-12, 8))
def test_a_preferred_value_is_its_own_neighbour(figure: int, exponent: int) -> None:
    value = float(f"{figure}e{exponent}")
    assert at_or_below(value, Series.E24) == at_or_above(value, Series.E24) == value


@pytest.mark.parametrize(("low", "high"), [(0, 1), (-1, 1), (2, 1), (1, math.inf), (math.nan, 1)])
def test_a_range_that_cannot_be_is_refused(low: float, high: float) -> None:
    with pytest.raises(InputError, match="Give 0 < lowest ≤ highest"):
        between(low, high, Series.E24)
