"""A neon on the supply and on a stray voltage, by hand and as laws that must hold."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remedies.physics.neon import Lamp, on_stray, on_supply, strikes
from remedies.physics.stray_voltage import Neighbour, source


@pytest.mark.parametrize(
    ("series", "milliamp"), [(150e3, 1.1), (220e3, 0.75), (270e3, 0.61), (330e3, 0.50), (470e3, 0.35)]
)
def test_current_on_230_v_is_near_the_rule_of_thumb(series: float, milliamp: float) -> None:
    # The trade's (230 − 65)/R, which mixes r.m.s. and a steady drop; the exact r.m.s. is within 6 % of it.
    assert on_supply(Lamp(series, 90, 65), 230).current_a * 1e3 == pytest.approx(milliamp, rel=0.06)


def test_a_neon_of_no_drop_is_its_resistor() -> None:
    # Vst = Vm → 0: I = V/R and P = V²/R, 230 V on 220 kΩ: 1.045 mA and 240 mW.
    on = on_supply(Lamp(220e3, 1e-9, 1e-9), 230)
    assert on.current_a == pytest.approx(230 / 220e3, rel=1e-6)
    assert on.power_w == pytest.approx(230**2 / 220e3, rel=1e-6)
    assert on.average_a == pytest.approx(2 * math.sqrt(2) / math.pi * 230 / 220e3, rel=1e-6)


def test_closed_form_against_plain_summation_over_a_half_cycle() -> None:
    lamp, volts, steps = Lamp(220e3, 110, 70), 230.0, 200_000
    lit, squares, product = False, 0.0, 0.0
    for index in range(steps):
        v = math.sqrt(2) * volts * math.sin(math.pi * (index + 0.5) / steps)
        lit = (v >= lamp.strike_v) or (lit and v >= lamp.maintain_v)
        amps = (v - lamp.maintain_v) / lamp.series_ohm if lit else 0.0
        squares += amps**2
        product += v * amps
    on = on_supply(lamp, volts)
    # 1e-4: the strike falls within one of 200 000 steps.
    assert on.current_a == pytest.approx(math.sqrt(squares / steps), rel=1e-4)
    assert on.power_w == pytest.approx(product / steps, rel=1e-4)


def test_nothing_flows_below_striking() -> None:
    on = on_supply(Lamp(220e3, 90, 65), 60)  # crest 84.9 V
    assert (on.current_a, on.average_a, on.power_w, on.resistor_w) == (0, 0, 0, 0)


def test_a_stray_voltage_too_low_to_strike_is_left_as_it_is() -> None:
    # 0.4 nF against 1.2 nF: 57.5 V, crest 81.3 V, below 90 V.
    stray = source([Neighbour(230, 0.4e-9)], earth_capacitance_f=1.2e-9)
    found = on_stray(stray, [Lamp(220e3, 90, 65)])
    assert not found.strikes
    assert found.volts == pytest.approx(57.5)
    assert found.peak_v == pytest.approx(57.5 * math.sqrt(2))


def test_a_remedy_beside_it_can_keep_a_neon_from_striking() -> None:
    stray = source([Neighbour(230, 1.4e-9)])
    lamps = [Lamp(220e3, 90, 65)]
    assert strikes(stray, lamps)
    assert not strikes(stray, lamps, complex(1 / 47e3))


def test_a_lit_neon_does_not_clamp_the_conductor_at_its_striking_voltage() -> None:
    # 50 m at 70 pF/m: 253 µA through 220 kΩ alone is 56 V on top of the 65 V that it maintains.
    found = on_stray(source([Neighbour(230, 3.5e-9)]), [Lamp(220e3, 90, 65)])
    assert found.peak_v > 120
    assert found.volts > 90


def test_several_neons_leave_less_than_one_and_the_lowest_strikes_first() -> None:
    stray = source([Neighbour(230, 3.5e-9)])
    one = on_stray(stray, [Lamp(220e3, 90, 65)])
    three = on_stray(stray, [Lamp(220e3, 90, 65)] * 3)
    assert three.volts < one.volts
    # A second neon that strikes far above what the first leaves changes nothing.
    assert on_stray(stray, [Lamp(220e3, 250, 65), Lamp(220e3, 90, 65)]).volts == pytest.approx(one.volts)


@settings(max_examples=15)
@given(st.floats(0.5e-9, 5e-9), st.floats(0, 1e-9), st.floats(100e3, 500e3))
def test_a_neon_never_raises_the_stray_voltage(coupling: float, earth: float, series: float) -> None:
    stray = source([Neighbour(230, coupling)], earth_capacitance_f=earth)
    # 0.1 %: the r.m.s. is summed over 400 steps a cycle.
    assert on_stray(stray, [Lamp(series, 90, 65)]).volts <= stray.open_circuit_v * 1.001


@given(st.floats(100, 260), st.floats(100e3, 500e3))
def test_power_is_that_of_the_resistor_and_of_the_lamp(volts: float, series: float) -> None:
    on = on_supply(Lamp(series, 90, 65), volts)
    assert on.power_w == pytest.approx(on.current_a**2 * series + 65 * on.average_a)
    assert on.current_a >= on.average_a
