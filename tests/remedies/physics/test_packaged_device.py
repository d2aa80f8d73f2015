"""What readings on a packaged device say is inside, by hand."""

import math

import pytest

from remedies.physics.checked import InputError
from remedies.physics.operating import Conditions, Reach
from remedies.physics.packaged_device import Device, Inside, what_is_inside
from remedies.physics.parts import LoadModule, RcNetwork, SuppressionCapacitor

OPEN = math.inf


@pytest.mark.parametrize(
    ("device", "inside"),
    [
        (Device(resistance_ohm=15e3), Inside.RESISTIVE),
        (Device(resistance_ohm=15e3, capacitance_f=0, on_current_a=15.3e-3), Inside.RESISTIVE),
        (Device(resistance_ohm=OPEN, capacitance_f=0.1e-6), Inside.CAPACITIVE),
        (Device(resistance_ohm=OPEN, capacitance_f=0.1e-6, on_current_a=7.2e-3), Inside.CAPACITIVE),
        (
            Device(resistance_ohm=470e3, capacitance_f=0.22e-6, on_current_a=15.9e-3),
            Inside.CAPACITIVE_WITH_RESISTOR,
        ),
        (
            Device(resistance_ohm=OPEN, capacitance_f=0.47e-6, on_current_a=34e-3, case_c=45, air_c=20),
            Inside.RC,
        ),
        (Device(resistance_ohm=OPEN, capacitance_f=0, on_current_a=0.8e-3), Inside.NON_LINEAR),
        (Device(resistance_ohm=15e3, on_current_a=60e-3), Inside.UNKNOWN),
        (Device(on_current_a=5e-3), Inside.UNKNOWN),
    ],
)
def test_what_is_probably_inside(device: Device, inside: Inside) -> None:
    # 230 V / 15 kΩ = 15.3 mA; 0.1 µF 7.23 mA, 0.22 µF 15.9 mA, 0.47 µF 34.0 mA; 470 kΩ only 0.49 mA.
    assert what_is_inside(device).inside is inside


def test_the_ceramic_15_k_device_dissipates_3_and_a_half_watts_both_ways() -> None:
    # Common practice, no source: 15 kΩ, 15 mA, about 68 °C in air of 20 °C. 230²/15k = 3.53 W; 48 K/14 = 3.4
    # W.
    found = what_is_inside(Device(resistance_ohm=15e3, on_current_a=15e-3, case_c=68, air_c=20))
    assert found.power_w is not None
    assert found.power_w.typical == pytest.approx(3.5, rel=0.03)
    assert any("3.43 W" in line for line in found.working)
    assert found.acceptable is True
    assert isinstance(found.part, LoadModule)
    # 15 kΩ reads 0.015 MΩ.
    assert 0.015 in found.insulation[500].mohm


def test_a_warm_capacitive_device_hides_a_series_resistor() -> None:
    # 25 K over air by 14 K/W is 1.8 W; at 34 mA that is 1.54 kΩ.
    found = what_is_inside(
        Device(resistance_ohm=OPEN, capacitance_f=0.47e-6, on_current_a=34e-3, case_c=45, air_c=20)
    )
    assert isinstance(found.part, RcNetwork)
    assert found.part.resistance_ohm.typical == pytest.approx(1545, rel=0.01)


def test_a_capacitor_shows_no_megohms_on_an_insulation_test_once_charged() -> None:
    found = what_is_inside(Device(resistance_ohm=OPEN, capacitance_f=0.1e-6, on_current_a=7.2e-3))
    assert isinstance(found.part, SuppressionCapacitor)
    assert found.insulation[500].mohm.low >= 1
    assert found.acceptable is True


@pytest.mark.parametrize(
    ("device", "says"),
    [
        (Device(resistance_ohm=5.6e3, case_c=120, air_c=25), "120 °C is above"),
        (Device(resistance_ohm=5.6e3, case_c=75, air_c=25), "cable insulation"),
        (Device(resistance_ohm=12), "a winding or a fault"),
    ],
)
def test_what_speaks_against_leaving_it_in(device: Device, says: str) -> None:
    found = what_is_inside(device, Conditions(reach=Reach.NOT_TOUCHED))
    assert found.acceptable is False
    assert any(says in reason for reason in found.reasons)


def test_without_heat_measured_a_resistive_device_stays_open() -> None:
    found = what_is_inside(Device(resistance_ohm=15e3, on_current_a=15e-3))
    assert found.acceptable is None
    assert "Measure its case" in found.reasons[0]


def test_power_never_exceeds_volts_times_amperes() -> None:
    found = what_is_inside(Device(on_current_a=5e-3, case_c=80, air_c=20))
    assert found.power_w is not None
    assert found.power_w.high <= 230 * 5e-3


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({}, "Give its ohms, capacitance or current"),
        ({"resistance_ohm": 0}, "infinity when the meter shows open"),
        ({"resistance_ohm": -5}, "infinity when the meter shows open"),
        ({"capacitance_f": 0.1}, "0.1e-6 for 0.1 µF"),
        ({"on_current_a": -1}, "7e-3 for 7 mA"),
        ({"resistance_ohm": 1e4, "case_c": 60}, "together"),
        ({"resistance_ohm": 1e4, "case_c": 10, "air_c": 25}, "colder than the air"),
    ],
)
def test_nonsense_is_refused_with_what_to_type_instead(values: dict[str, float], says: str) -> None:
    with pytest.raises(InputError) as raised:
        Device(**values)
    assert says in str(raised.value)
