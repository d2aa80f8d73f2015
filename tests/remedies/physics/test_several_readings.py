"""Readings judged together: which pair decides, and what a third reading adds."""

import math

import pytest

from remedies.physics.checked import InputError
from remedies.physics.meter_reading import MeterReading
from remedies.physics.several_readings import judge_readings
from remedies.physics.source_from_readings import Verdict
from remedies.physics.stray_voltage import Meter, Nature, Neighbour, Source, source

HIGH, LOW, MIDDLE = Meter(10e6, 100e-12), Meter(300e3), Meter(1e6)


def read(stray: Source, meter: Meter) -> MeterReading:
    return MeterReading(stray.reading(meter), meter, gain_error=0.001, digits=0)


def test_a_pair_that_shows_a_live_conductor_decides_whatever_the_third_reading_says() -> None:
    live = [MeterReading(230, HIGH), MeterReading(229, Meter(3e3)), MeterReading(100, MIDDLE)]
    assert judge_readings(live).verdict is Verdict.STIFF


def test_a_pair_of_like_meters_does_not_hide_what_a_good_pair_shows() -> None:
    stray = source([Neighbour(230, 0.5e-9)], earth_capacitance_f=0.5e-9)
    readings = [read(stray, HIGH), read(stray, Meter(11e6, 100e-12)), read(stray, LOW)]
    judged = judge_readings(readings)
    assert judged.verdict is Verdict.COUPLED
    assert judged.second.meter == LOW
    # Both ends of the current must hold what really flows: 230 V · ω · 0.5 nF = 36 µA.
    amps = judged.judgement.short_circuit_a
    assert amps is not None
    assert amps.low <= 230 * 2 * math.pi * 50 * 0.5e-9 <= amps.high


def test_readings_that_no_one_source_gives_are_all_in_doubt() -> None:
    # A heavier meter never reads more: 100 V on 300 kΩ beside 20 V on 10 MΩ is impossible.
    readings = [MeterReading(20, HIGH), MeterReading(100, LOW), MeterReading(15, MIDDLE)]
    assert judge_readings(readings).verdict is Verdict.IMPOSSIBLE


def test_three_readings_that_fit_by_pairs_and_not_together_are_in_doubt() -> None:
    # 120 V open on 10 MΩ ∥ 100 pF; the 1 MΩ reading far below any source that the other two allow.
    stray = source([Neighbour(230, 0.5e-9)], earth_capacitance_f=0.5e-9)
    readings = [read(stray, HIGH), MeterReading(9, MIDDLE, 0.001, 0), read(stray, LOW)]
    judged = judge_readings(readings)
    assert judged.verdict is Verdict.IMPOSSIBLE
    with pytest.raises(InputError, match="cannot come from one passive source"):
        _ = judged.sources


def test_three_readings_of_a_leak_say_to_find_it_first() -> None:
    leak = source([Neighbour(230, 0, leak_ohm=2e6)], earth_leak_ohm=5e6)
    judged = judge_readings([read(leak, Meter(10e6)), read(leak, MIDDLE), read(leak, LOW)])
    assert judged.three is not None
    assert judged.three.nature is Nature.RESISTIVE
    assert "Find which" in judged.leak


def test_three_readings_of_a_coupled_voltage_have_no_leak() -> None:
    stray = source([Neighbour(230, 1e-9)])
    judged = judge_readings([read(stray, Meter(10e6)), read(stray, MIDDLE), read(stray, LOW)])
    assert judged.three is not None
    assert judged.three.nature is Nature.CAPACITIVE
    assert judged.leak == ""
    assert judged.sources


@pytest.mark.parametrize("count", [0, 1, 4])
def test_two_or_three_readings_are_asked_for(count: int) -> None:
    with pytest.raises(InputError, match="two or three"):
        judge_readings([MeterReading(100, HIGH)] * count)
