"""Ranking of remedies, the values that just serve, and the points of the plot."""

from itertools import pairwise

import pytest

from remedies.physics.comparison import (
    Situation,
    capacitor,
    capacitor_curve,
    compare,
    largest_resistor,
    least_capacitor,
    resistor,
    resistor_curve,
    without_a_part,
)
from remedies.physics.meter_reading import MeterReading
from remedies.physics.operating import Conditions
from remedies.physics.parts import LoadModule, Neon, Resistor, SuppressionCapacitor
from remedies.physics.quantity import Span
from remedies.physics.source_from_readings import judge
from remedies.physics.stray_voltage import Meter, Neighbour, source

STRAY = source([Neighbour(230, 1.4e-9)])  # 101 µA
PARTS = (
    resistor(390, 0.25),
    Neon(series_ohm=Span.exact(220e3)),
    LoadModule(resistance_ohm=Span.within(33e3, 0.05)),
    capacitor(0.1e-6),
    resistor(47e3, 3.0),
)


def test_remedies_without_a_part_come_first_and_refused_parts_last() -> None:
    choices = compare(PARTS, [STRAY], situation=Situation(idle_core_floating=True, no_cpc=True))
    assert [choice.evaluation is None for choice in choices] == [True, True] + [False] * 5
    assert [choice.refused for choice in choices] == [False] * 6 + [True]
    assert "136 W" in choices[-1].reasons[0]
    assert all("sees the cable alone" in choice.reasons[1] for choice in choices[:2])


def test_of_the_parts_one_that_may_stay_in_for_the_test_comes_first_and_one_that_glows_late() -> None:
    kinds = [type(choice.evaluation.part) for choice in compare(PARTS, [STRAY]) if choice.evaluation]
    assert kinds[0] is SuppressionCapacitor
    assert set(kinds[1:3]) == {LoadModule, Resistor}
    assert kinds[3] is Neon


def test_a_capacitor_with_margin_to_spare_comes_before_a_smaller_one_that_just_serves() -> None:
    least = least_capacitor([STRAY])
    assert least is not None
    just, ample = (choice.evaluation for choice in compare([least, capacitor(0.1e-6)], [STRAY])[::-1])
    assert just is not None
    assert ample is not None
    assert ample.part == capacitor(0.1e-6)
    assert just.margin < 2 < ample.margin


def test_each_part_gives_its_reasons() -> None:
    best, *_ = compare(PARTS, [STRAY], Conditions(price_per_kwh=0.30))
    assert any("below the glow threshold" in reason for reason in best.reasons)
    assert any("may stay in" in reason for reason in best.reasons)
    assert any("a year" in reason for reason in best.reasons)
    module = next(
        c for c in compare(PARTS, [STRAY]) if c.evaluation and isinstance(c.evaluation.part, LoadModule)
    )
    assert any("disconnected before an insulation test" in reason for reason in module.reasons)


def test_every_possibility_of_the_place_has_its_remedy() -> None:
    every = Situation(
        spare_core=True,
        idle_core_floating=True,
        no_cpc=True,
        can_reroute=True,
        room_for_double_pole=True,
        neutral_at_control=True,
        electronic_control=True,
        dimmer_below_minimum=True,
    )
    titles = [choice.title for choice in without_a_part(every)]
    assert len(set(titles)) == 8
    assert without_a_part(Situation()) == ()


def test_the_least_capacitor_is_a_preferred_value_that_just_serves() -> None:
    # 101 µA at 10 V needs 10.1 µS, 32.2 nF, of which the cable gives 1.4; at −20 % that is a part of 38.5 nF
    # or more, so 47 nF (and not 33).
    part = least_capacitor([STRAY])
    assert isinstance(part, SuppressionCapacitor)
    assert part.capacitance_f.typical == 47e-9


def test_the_largest_resistor_is_a_preferred_value_that_just_serves() -> None:
    # 10 V at 101 µA: 98.9 kΩ; at +5 % that is a part of 94.2 kΩ or less, so 91 kΩ (E24).
    part = largest_resistor([STRAY])
    assert isinstance(part, Resistor)
    assert part.resistance_ohm.typical == 91e3


def test_no_value_serves_a_threshold_that_none_can_reach() -> None:
    strong = source([Neighbour(230, 15e-9)])
    assert least_capacitor([strong], Conditions(glow_v=Span(0.5, 1, 2))) is None


@pytest.mark.parametrize("curve", [capacitor_curve([STRAY]), resistor_curve([STRAY])], ids=["F", "Ω"])
def test_the_plot_runs_over_three_decades_with_the_threshold(curve) -> None:
    values = [point.value for point in curve.points]
    assert len(values) == 37  # twelve a decade and both ends
    assert values[-1] / values[0] == pytest.approx(1000)
    assert curve.glow_v == Conditions().glow_v
    rising = [b.lamp_v.typical > a.lamp_v.typical for a, b in pairwise(curve.points)]
    assert set(rising) == {curve.unit == "Ω"}  # falls with capacitance, rises with resistance
    assert all(point.lamp_v.low <= point.lamp_v.high for point in curve.points)


def test_a_remedy_follows_from_two_readings() -> None:
    judged = judge(MeterReading(100, Meter(10e6, 100e-12)), MeterReading(8, Meter(300e3)))
    part = least_capacitor(judged.sources)
    assert isinstance(part, SuppressionCapacitor)
    # At most 31 µA whatever the source: 9.8 nF at 10 V, 12.3 nF at −20 %: 15 nF serves, less what the cable
    # has.
    assert part.capacitance_f.typical in (10e-9, 15e-9)
