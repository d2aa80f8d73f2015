"""Values with a tolerance, and how they are written."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remedies.physics.quantity import Span, duration, engineering, microfarads, ohms, significant, span_text


def test_a_tolerance_code_gives_the_limits_of_iec_60062() -> None:
    # IEC 60062: J is ±5 %, K ±10 %, M ±20 %.
    for tolerance, low, high in ((0.05, 95, 105), (0.10, 90, 110), (0.20, 80, 120)):
        span = Span.within(100, tolerance)
        assert (span.low, span.typical, span.high) == pytest.approx((low, 100, high))


def test_a_range_out_of_order_is_refused() -> None:
    with pytest.raises(ValueError, match="low, typical, high"):
        Span(3, 2, 4)


def test_a_falling_function_changes_the_ends() -> None:
    assert Span(1, 2, 4).falling(lambda value: 1 / value) == Span(0.25, 0.5, 1)
    assert Span(1, 2, 4).rising(math.sqrt) == Span(1, math.sqrt(2), 2)


def test_ranges_add_end_by_end_and_scale() -> None:
    assert Span(1, 2, 3) + Span(10, 20, 30) == Span(11, 22, 33)
    assert Span(1, 2, 3).times(2) == Span(2, 4, 6)


def test_a_range_holds_its_ends_and_nothing_beyond() -> None:
    assert 1 in Span(1, 2, 3)
    assert 3 in Span(1, 2, 3)
    assert 3.1 not in Span(1, 2, 3)
    assert Span.exact(2) == Span(2, 2, 2)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (48, "48 Ω"),
        (4700, "4.7 kΩ"),
        (220_000, "220 kΩ"),
        (305_556, "306 kΩ"),
        (999_999, "1 MΩ"),
        (2.2e6, "2.2 MΩ"),
        (5e9, "5 GΩ"),
        (0, "0 Ω"),
        (math.inf, "∞ Ω"),
    ],
)
def test_ohms_are_written_as_the_trade_does(value: float, text: str) -> None:
    assert ohms(value) == text


def test_capacitors_are_written_in_microfarads() -> None:
    assert microfarads(0.1e-6) == "0.1 µF"
    assert microfarads(22e-9) == "0.022 µF"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0 s"),
        (0.05, "50 ms"),
        (1.5, "1.5 s"),
        (89, "89 s"),
        (90, "1.5 min"),
        (7200, "2 h"),
        (math.inf, "never"),
    ],
)
def test_times_are_written_in_the_unit_that_fits(seconds: float, text: str) -> None:
    assert duration(seconds) == text


def test_a_range_whose_ends_are_written_alike_is_written_once() -> None:
    assert span_text(Span(100, 100.1, 100.2), ohms) == "100 Ω"
    assert span_text(Span(95, 100, 105), ohms) == "95 Ω to 105 Ω"


_PREFIX = {"G": 1e9, "M": 1e6, "k": 1e3, "": 1.0, "m": 1e-3, "µ": 1e-6, "n": 1e-9, "p": 1e-12}


@given(st.floats(1e-11, 9e10))
def test_a_written_value_reads_back_within_its_figures(value: float) -> None:
    number, unit = engineering(value, "V").split(" ")
    assert float(number) * _PREFIX[unit.removesuffix("V")] == pytest.approx(value, rel=0.00501)


@given(st.floats(1e-6, 1e9), st.integers(2, 6))
def test_significant_keeps_that_many_figures(value: float, figures: int) -> None:
    assert float(significant(value, figures)) == pytest.approx(value, rel=0.501 * 10 ** (1 - figures))
