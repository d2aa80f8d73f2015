"""The current of an electronic control through the lamp, by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remedies.physics.checked import InputError
from remedies.physics.control_current import Control, past_the_lamp
from remedies.physics.operating import Conditions, admittance
from remedies.physics.parts import LoadModule, SuppressionCapacitor
from remedies.physics.quantity import Span
from remedies.physics.remedy import Darkness, evaluate
from remedies.physics.stray_voltage import Nature


def test_half_a_milliamp_needs_20_kilohms_or_a_fifth_of_a_microfarad() -> None:
    # 10 V / 0.5 mA = 20 kΩ; 0.5 mA / (314.16 · 10 V) = 159 nF, so 0.22 µF of E6; 230² / 20 k = 2.65 W.
    past = past_the_lamp(Control(0.5e-3))
    assert past.largest_ohm == pytest.approx(20e3, rel=0.005)
    assert past.resistor_ohm == 20e3
    assert past.resistor_w == pytest.approx(2.645)
    assert past.smallest_f == pytest.approx(159e-9, rel=0.05)
    assert past.capacitor_f == 0.22e-6
    assert past.glows is True
    assert past.lamp_v == pytest.approx(230)


def test_a_network_across_a_contact_is_its_own_capacitance() -> None:
    # 0.1 µF across an open contact at 230 V: 7.23 mA, and from the lamp a source of 0.1 µF.
    stray = Control(7.2257e-3).source()
    assert stray.capacitance_f == pytest.approx(0.1e-6, rel=1e-3)
    assert stray.open_circuit_v == pytest.approx(230)


@given(st.floats(20e-6, 10e-3), st.sampled_from(list(Nature)), st.floats(5, 40))
def test_the_exact_limits_hold_the_lamp_exactly_at_its_threshold(
    amps: float, nature: Nature, glow: float
) -> None:
    given_ = Conditions(glow_v=Span(glow, glow, glow))
    control = Control(amps, nature)
    past = past_the_lamp(control, given_)
    stray = control.source()
    assert stray.volts(complex(1 / past.largest_ohm)) == pytest.approx(glow, rel=1e-6)
    assert stray.volts(2j * math.pi * 50 * past.smallest_f) == pytest.approx(glow, rel=1e-6)


@pytest.mark.parametrize("nature", Nature)
def test_the_preferred_values_keep_the_lamp_dark(nature: Nature) -> None:
    control = Control(0.5e-3, nature)
    past = past_the_lamp(control)
    for part in (
        LoadModule(resistance_ohm=Span.exact(past.resistor_ohm)),
        SuppressionCapacitor(capacitance_f=Span.exact(past.capacitor_f)),
    ):
        assert evaluate(part, [control.source()]).darkness is Darkness.DARK
        assert abs(admittance(part)) * 10 >= 0.5e-3 * 0.99


def test_a_lamp_that_draws_enough_itself_needs_nothing_more() -> None:
    # A lamp taking 1 mS when off holds 0.5 mA at 0.5 V.
    past = past_the_lamp(Control(0.5e-3), Conditions(lamp_s=1e-3))
    assert past.glows is False
    assert past.lamp_v == pytest.approx(0.5, rel=0.01)


@pytest.mark.parametrize("amps", [0, -1e-3, 0.5, math.nan])
def test_a_current_that_cannot_be_is_refused(amps: float) -> None:
    with pytest.raises(InputError, match=r"0\.5e-3 for 0\.5 mA"):
        Control(amps)
