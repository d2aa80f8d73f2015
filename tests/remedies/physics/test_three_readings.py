"""Three readings back to the source: which nature it has, and where the meters leave that open."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remedies.physics.meter_reading import MeterReading
from remedies.physics.stray_voltage import Meter, Nature, Neighbour, Source, source
from remedies.physics.three_readings import judge_three

HIGH = Meter(10e6, 100e-12)
TRIO = (HIGH, Meter(1e6), Meter(200e3))


def read(stray: Source, meter: Meter, error: float = 0.0) -> MeterReading:
    return MeterReading(stray.reading(meter), meter, gain_error=error, digits=0)


@pytest.mark.parametrize(
    ("stray", "nature"),
    [
        (source([Neighbour(230, 1.4e-9)], earth_capacitance_f=0.5e-9), Nature.CAPACITIVE),
        (source([Neighbour(230, 0, leak_ohm=1e6)], earth_leak_ohm=2e6), Nature.RESISTIVE),
    ],
)
def test_three_good_readings_decide(stray: Source, nature: Nature) -> None:
    first, second, third = (read(stray, meter, 0.003) for meter in TRIO)
    found = judge_three((first, second, third))
    assert found.nature is nature
    assert found.open_circuit_v is not None
    volts = found.open_circuit_v
    assert volts.low * (1 - 1e-9) <= stray.open_circuit_v <= volts.high * (1 + 1e-9)  # but for rounding


def test_three_rough_readings_leave_it_open() -> None:
    stray = source([Neighbour(230, 0.8e-9, leak_ohm=4e6)], earth_capacitance_f=0.4e-9)
    first, second, third = (read(stray, meter, 0.05) for meter in TRIO)
    found = judge_three((first, second, third))
    assert found.nature is None
    assert "leaves open" in found.text


@given(st.floats(0.1e-9, 5e-9), st.floats(0.5e6, 100e6))
def test_three_exact_readings_give_back_a_mixed_source(coupling: float, leak: float) -> None:
    stray = source([Neighbour(230, coupling, leak_ohm=leak)])
    first, second, third = (read(stray, meter) for meter in TRIO)
    found = judge_three((first, second, third))
    assert found.typical is not None
    # Three differences of nearly equal numbers: 1e-6 of the whole admittance is left.
    size = abs(stray.admittance_s)
    assert abs(found.typical.admittance_s - stray.admittance_s) < 1e-5 * size
    assert found.typical.open_circuit_v == pytest.approx(230, rel=1e-5)


@pytest.mark.parametrize("volts", [(100, 50, 0), (10, 60, 200)])
def test_three_readings_of_no_source_are_called_so(volts: tuple[float, float, float]) -> None:
    first, second, third = (MeterReading(v, meter, 0, 0) for v, meter in zip(volts, TRIO, strict=True))
    found = judge_three((first, second, third))
    assert found.typical is None
    assert "one passive source" in found.text


def test_three_readings_with_one_kind_of_meter_are_not_independent() -> None:
    first, second, third = (MeterReading(100, HIGH) for _ in range(3))
    assert judge_three((first, second, third)).typical is None
