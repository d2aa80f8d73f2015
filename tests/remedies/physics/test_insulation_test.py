"""Expected readings by hand: each figure can be followed with a calculator."""

import math
import re

import pytest

from remedies.physics.charge import time_to_charge, time_to_discharge
from remedies.physics.direct_current import current_at
from remedies.physics.insulation_test import SOUND_CABLE_MOHM, expected_reading, expected_readings
from remedies.physics.parts import (
    Connection,
    Kind,
    Neon,
    Part,
    Resistor,
    SuppressionCapacitor,
)
from remedies.physics.quantity import Span
from remedies.physics.register_entry import RegisterEntry, from_register
from remedies.physics.sight import is_across
from remedies.physics.tester import Between, Tester

PERFECT_CABLE = Span.exact(math.inf)
STRONG = 0.005  # A; strong enough to hold the nominal voltage in the cases that say so


def neon(ohm: float, count: int = 1) -> Neon:
    return Neon(series_ohm=Span.exact(ohm), strike_v=Span.exact(90), maintain_v=Span.exact(70), count=count)


def resistor(ohm: float, connection: Connection = Connection.LINE_NEUTRAL) -> Resistor:
    return Resistor(resistance_ohm=Span.exact(ohm), connection=connection)


# Derived from the lamp's law R = Rs·U/(U − Um), Um = 70 V d.c.: 220 kΩ reads 306 kΩ at 250 V and 256 kΩ at
# 500 V, 470 kΩ reads 653 kΩ and 547 kΩ, n in parallel that divided by n.
@pytest.mark.parametrize(
    ("series_ohm", "nominal_v", "kilohm"),
    [(220e3, 250, 306), (220e3, 500, 256), (470e3, 250, 653), (470e3, 500, 547)],
)
@pytest.mark.parametrize("count", [1, 3])
def test_a_lit_neon_reads_more_than_its_resistor(
    series_ohm: float, nominal_v: float, kilohm: float, count: int
) -> None:
    expected = expected_reading(PERFECT_CABLE, [neon(series_ohm, count)], Tester(nominal_v, 0.015))
    assert expected.mohm.typical * 1000 * count == pytest.approx(kilohm, abs=0.5)


def test_a_neon_disappears_below_its_striking_voltage() -> None:
    # W. G. Miller (1969): about 1000 MΩ dark at 50 V.
    expected = expected_reading(Span.exact(100), [neon(220e3)], Tester(50))
    assert expected.mohm.low == pytest.approx(100)
    assert expected.mohm.high == pytest.approx(100)
    assert not expected.uncertain


def test_a_weak_tester_is_held_at_its_limit_and_says_so() -> None:
    # By hand: 1 mA · 220 kΩ + 70 V = 290 V, so it reads 290 kΩ and never sees 500 V.
    expected = expected_reading(PERFECT_CABLE, [neon(220e3)], Tester(500, 0.001))
    assert expected.terminal_v.typical == pytest.approx(290)
    assert expected.mohm.typical == pytest.approx(0.290)
    assert expected.limited
    assert expected.voltage_text == "Taken at 290 V, not at 500 V: the tester is held at its limit of 1 mA."


# Combination of circuits, 1/R = Σ 1/R: 5, 20, 10, 20 and 2 MΩ in parallel are 1.11 MΩ (published example).
def test_circuits_in_parallel_combine() -> None:
    parts = [resistor(mohm * 1e6) for mohm in (20, 10, 20, 2)]
    assert expected_reading(Span.exact(5), parts, Tester(500)).mohm.typical == pytest.approx(1.11, abs=0.005)


# A 47 kΩ bleed resistor would draw 10.6 mA at 500 V; a 1 mA tester is at its limit at 47 V.
def test_a_bleed_resistor_brings_the_tester_down() -> None:
    expected = expected_reading(PERFECT_CABLE, [resistor(47e3)], Tester(500))
    assert expected.terminal_v.typical == pytest.approx(47)
    assert current_at([resistor(47e3)], 500).typical == pytest.approx(0.0106, abs=0.00005)


# IEC 61557-2, rated current: with U_N × 1000 Ω/V across it (250 kΩ, 500 kΩ, 1 MΩ) the tester still gives 1
# mA at U_N.
@pytest.mark.parametrize(("nominal_v", "ohm"), [(250, 250e3), (500, 500e3), (1000, 1e6)])
def test_the_nominal_voltage_is_held_down_to_the_rated_resistance(nominal_v: float, ohm: float) -> None:
    assert not expected_reading(PERFECT_CABLE, [resistor(ohm)], Tester(nominal_v)).may_be_limited
    assert expected_reading(PERFECT_CABLE, [resistor(ohm * 0.98)], Tester(nominal_v)).limited


@pytest.mark.parametrize("limit_a", [0.0005, 0.02])
def test_a_current_limit_outside_iec_61557_2_is_refused(limit_a: float) -> None:
    with pytest.raises(ValueError, match="1 mA to 15 mA"):
        Tester(500, limit_a)


def test_a_winding_reads_nothing() -> None:
    winding = from_register(RegisterEntry("wound_transformer", rated_va=50))
    assert expected_reading(SOUND_CABLE_MOHM, [winding], Tester(500)).text == "0.00"


def test_a_capacitor_alone_ends_at_the_cable() -> None:
    capacitor = from_register(RegisterEntry("suppression_capacitor", capacitance_uf=0.22))
    expected = expected_reading(Span(20, 80, 500), [capacitor], Tester(500))
    assert expected.mohm.low == pytest.approx(20)
    assert expected.mohm.typical == pytest.approx(80)
    assert expected.mohm.high == pytest.approx(500)
    assert expected.text == "20.00 to >200"


def test_sound_cable_alone_starts_at_the_two_megohms_of_guidance() -> None:
    # IET Guidance Note 3: a reading below 2 MΩ calls for a closer look.
    assert expected_reading(SOUND_CABLE_MOHM, [], Tester(500)).text == "2.00 to >200"


# A varistor's voltage is defined at 1 mA d.c.: a 1 mA tester of 500 V reads that voltage / 1 mA, 387 V to
# 473 V.
def test_a_275_v_varistor_holds_a_500_v_test_at_its_own_voltage() -> None:
    surge = from_register(RegisterEntry("surge_protection", continuous_v=275))
    expected = expected_reading(Span.exact(1e5), [surge], Tester(500))
    assert expected.terminal_v.low == pytest.approx(387, rel=0.001)
    assert expected.terminal_v.typical == pytest.approx(430, rel=0.001)
    assert expected.terminal_v.high == pytest.approx(473, rel=0.001)
    assert expected.text == "0.39 to 0.47"


def test_a_varistor_hardly_shows_at_250_v() -> None:
    surge = from_register(RegisterEntry("surge_protection", continuous_v=275))
    assert expected_reading(Span.exact(100), [surge], Tester(250)).mohm.low > 90


def test_a_varistor_alone_takes_the_limit_at_a_voltage_of_its_law() -> None:
    # By hand: (10 mA / 1 mA)^(1/30) = 1.0798; 1.0798 · 430 V = 464.3 V.
    surge = from_register(RegisterEntry("surge_protection", continuous_v=275))
    expected = expected_reading(PERFECT_CABLE, [surge], Tester(500, 0.010))
    assert expected.terminal_v.typical == pytest.approx(464.3, abs=0.05)


# Electronic transformers and drivers read 0.1 MΩ to 1 MΩ (value from memory).
def test_a_driver_reads_a_tenth_to_one_megohm() -> None:
    expected = expected_reading(
        Span.exact(1000), [from_register(RegisterEntry("driver"))], Tester(500, STRONG)
    )
    assert expected.mohm.low == pytest.approx(0.1, rel=0.1)
    assert expected.mohm.high == pytest.approx(1.0, rel=0.01)
    assert expected.uncertain


def test_a_resistor_that_holds_a_neon_between_its_two_voltages_makes_the_outcome_uncertain() -> None:
    # By hand: 1 mA through 80 kΩ is 80 V, between 70 V and 90 V. Dark it reads 80 kΩ. Lit,
    # V/80 + (V − 70)/220 = 1 mA gives V = 77.33 V, 77.3 kΩ.
    expected = expected_reading(PERFECT_CABLE, [resistor(80e3), neon(220e3)], Tester(500))
    assert expected.uncertain
    assert expected.mohm.low * 1000 == pytest.approx(77.33, abs=0.01)
    assert expected.mohm.typical * 1000 == pytest.approx(80)
    assert expected.mohm.high * 1000 == pytest.approx(80)


def test_a_neon_that_pulls_the_tester_below_its_own_striking_voltage_is_certain_to_light() -> None:
    # By hand: 1 mA · 10 kΩ + 70 V = 80 V, below 90 V; but dark it would have seen 500 V.
    expected = expected_reading(PERFECT_CABLE, [neon(10e3)], Tester(500))
    assert expected.mohm.high * 1000 == pytest.approx(80)
    assert not expected.uncertain


def test_the_high_end_is_the_highest_of_lit_and_not_yet_struck() -> None:
    # 80 kΩ to 120 kΩ beside the neon. Lit at 120 kΩ: V/120 + (V − 70)/220 = 1 mA gives 102.35 V.
    # Dark it is never above 90 V, whatever the resistor.
    shunt = Resistor(resistance_ohm=Span(80e3, 100e3, 120e3))
    expected = expected_reading(PERFECT_CABLE, [shunt, neon(220e3)], Tester(500))
    assert expected.uncertain
    assert expected.mohm.high * 1000 == pytest.approx(102.35, abs=0.01)


def test_a_neon_sure_to_light_bounds_one_that_is_not() -> None:
    # The first, 50 kΩ from 65 V, holds the terminals at 115 V, below the 118 V at which the second strikes.
    # Both lit they stand at 114 V: (V − 65)/50 + (V − 110)/200 = 1 mA.
    first = Neon(series_ohm=Span.exact(50e3), strike_v=Span.exact(80), maintain_v=Span.exact(65))
    second = Neon(series_ohm=Span.exact(200e3), strike_v=Span.exact(118), maintain_v=Span.exact(110))
    expected = expected_reading(PERFECT_CABLE, [first, second], Tester(500))
    assert expected.mohm.low * 1000 == pytest.approx(114)
    assert expected.mohm.high * 1000 == pytest.approx(115)


@pytest.mark.parametrize("ohm", [60e3, 120e3])
def test_beside_a_resistor_well_below_or_above_the_neon_is_certain(ohm: float) -> None:
    # 60 V is below the maintaining voltage, 120 V above the striking voltage.
    assert not expected_reading(PERFECT_CABLE, [resistor(ohm), neon(220e3)], Tester(500)).uncertain


def test_a_test_voltage_between_the_two_voltages_of_a_neon_is_uncertain() -> None:
    lamp = from_register(RegisterEntry("neon", resistance_ohm=220e3))
    assert expected_reading(SOUND_CABLE_MOHM, [lamp], Tester(100)).uncertain


def test_a_load_of_unknown_kind_says_so_and_spans_everything() -> None:
    expected = expected_reading(SOUND_CABLE_MOHM, [from_register(RegisterEntry("unknown"))], Tester(500))
    assert expected.text == "0.00 to >200"
    assert expected.reasons == ("A load of unknown kind may read anything.",)


# --- charge -------------------------------------------------------------------------------------------------


def test_charging_a_tenth_of_a_microfarad_takes_fifty_milliseconds() -> None:
    # t = C·U/I: 0.1 µF · 500 V / 1 mA = 50 ms; ½·C·U² = 12.5 mJ.
    capacitor = SuppressionCapacitor(capacitance_f=Span.exact(0.1e-6))
    expected = expected_reading(PERFECT_CABLE, [capacitor], Tester(500))
    assert expected.settle_s.typical == pytest.approx(0.050)
    assert expected.stored_j.typical == pytest.approx(0.0125)
    assert math.isinf(expected.discharge_s.typical)


def test_time_to_charge_beside_a_resistance() -> None:
    # By hand: R·C = 1 MΩ · 0.1 µF = 0.1 s; −0.1 s · ln(1 − 500/1000) = 69.3 ms.
    assert time_to_charge(0.1e-6, 1e6, Tester(500)) == pytest.approx(0.0693, abs=0.00005)


def test_held_at_the_limit_it_settles_within_one_per_cent_in_4_6_time_constants() -> None:
    assert time_to_charge(1e-6, 100e3, Tester(500)) == pytest.approx(0.1 * math.log(100))


# Published: 1.32 µF from 360 V to 60 V in 0.75 s asks for 317 kΩ.
def test_discharge_time_of_the_published_example() -> None:
    assert time_to_discharge(1.32e-6, 317e3, 360) == pytest.approx(0.75, abs=0.002)


# IEC 60335-1, 22.5: 34 V in 1 s; 0.1 µF from 325 V asks for 4.43 MΩ. Derived from R = t/(C·ln(U/V)).
def test_discharge_time_to_another_voltage() -> None:
    assert time_to_discharge(0.1e-6, 4.43e6, 325, down_to_v=34) == pytest.approx(1.0, abs=0.002)


def test_nothing_to_discharge_below_the_safe_voltage() -> None:
    assert time_to_discharge(1e-6, 1e6, 50) == 0


def test_a_driver_empties_through_its_own_bleeder_whatever_stands_outside() -> None:
    # By hand: 300 kΩ · 4.7 µF · ln(500/60) = 2.99 s, in spite of 1 kΩ across the terminals' other side.
    driver = from_register(RegisterEntry("driver", resistance_ohm=300e3, capacitance_uf=4.7))
    expected = expected_reading(PERFECT_CABLE, [driver], Tester(500, STRONG))
    assert expected.discharge_s.typical == pytest.approx(2.99, abs=0.01)
    shunted = expected_reading(PERFECT_CABLE, [driver, resistor(400e3)], Tester(500, STRONG))
    assert shunted.discharge_s.typical == pytest.approx(expected.discharge_s.typical)


def test_a_capacitor_outside_a_driver_shares_its_bleeder() -> None:
    # By hand: 300 kΩ · (4.7 + 0.3) µF · ln(500/60) = 3.18 s.
    driver = from_register(RegisterEntry("driver", resistance_ohm=300e3, capacitance_uf=4.7))
    capacitor = SuppressionCapacitor(capacitance_f=Span.exact(0.3e-6))
    expected = expected_reading(PERFECT_CABLE, [driver, capacitor], Tester(500, STRONG))
    assert expected.discharge_s.typical == pytest.approx(3.18, abs=0.01)


def test_a_lit_neon_does_not_empty_a_capacitor_to_a_safe_voltage() -> None:
    capacitor = SuppressionCapacitor(capacitance_f=Span.exact(0.1e-6))
    expected = expected_reading(PERFECT_CABLE, [capacitor, neon(220e3)], Tester(500))
    assert math.isinf(expected.discharge_s.typical)


# --- which loads the test sees ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("connection", "between", "seen"),
    [
        (Connection.LINE_NEUTRAL, Between.LINE_NEUTRAL, True),
        (Connection.SWITCHED_LINE_NEUTRAL, Between.LINE_NEUTRAL, True),
        (Connection.LINE_NEUTRAL, Between.LIVES_JOINED_EARTH, False),
        (Connection.SWITCHED_LINE_NEUTRAL, Between.LIVES_JOINED_EARTH, False),
        (Connection.LINE_EARTH, Between.LIVES_JOINED_EARTH, True),
        (Connection.NEUTRAL_EARTH, Between.LIVES_JOINED_EARTH, True),
        (Connection.LINE_EARTH, Between.LINE_NEUTRAL, False),
        (Connection.LINE_LINE, Between.LINE_NEUTRAL, False),
        (Connection.LINE_LINE, Between.LINE_LINE, True),
        (Connection.NEUTRAL_EARTH, Between.NEUTRAL_EARTH, True),
        (Connection.NEUTRAL_EARTH, Between.LINE_EARTH, False),
    ],
)
def test_which_loads_a_test_sees(connection: Connection, between: Between, seen: bool) -> None:
    # BS 7671 643.3.1: with line and neutral joined, a load across them sees no voltage.
    assert is_across(connection, between) is seen
    expected = expected_reading(Span.exact(500), [resistor(100e3, connection)], Tester(500), between)
    assert (expected.mohm.typical < 1) is seen
    assert len(expected.across) + len(expected.not_seen) == 1


def test_an_open_switch_hides_what_is_behind_it() -> None:
    parts = [resistor(100e3, Connection.SWITCHED_LINE_NEUTRAL)]
    open_switch = expected_reading(Span.exact(500), parts, Tester(500), switches_closed=False)
    assert open_switch.mohm.low == pytest.approx(500)
    assert expected_reading(Span.exact(500), parts, Tester(500)).mohm.high < 1


def test_line_to_earth_with_neutral_floating_brings_in_the_insulation_of_the_neutral() -> None:
    # A load of no resistance joins N to L: 10 MΩ in parallel with as much is 5 MΩ.
    parts = [resistor(50, Connection.LINE_NEUTRAL)]
    expected = expected_reading(Span.exact(10), parts, Tester(500), Between.LINE_EARTH)
    assert expected.mohm.low == pytest.approx(5)
    assert expected.mohm.high == pytest.approx(10)


def test_loads_on_two_lines_may_stand_in_series_line_to_line() -> None:
    parts = [resistor(300e3), resistor(300e3)]
    expected = expected_reading(Span.exact(100), parts, Tester(500, STRONG), Between.LINE_LINE)
    assert expected.uncertain
    assert 0.6 * 100 / 100.6 in expected.mohm


def test_two_loads_between_the_same_conductors_are_not_in_series_with_each_other() -> None:
    parts = [resistor(300e3, Connection.LINE_EARTH), resistor(300e3, Connection.LINE_EARTH)]
    assert not expected_reading(Span.exact(100), parts, Tester(500)).uncertain


# --- what is shown ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mohm", "text"),
    [(0.2558, "0.26"), (0.0004, "0.00"), (199.999, "200.00"), (200.1, ">200"), (math.inf, ">200")],
)
def test_the_display(mohm: float, text: str) -> None:
    assert Tester().display(mohm) == text


@pytest.mark.parametrize(("resolution", "text"), [(1.0, "3"), (0.1, "3.1"), (0.05, "3.15"), (0.001, "3.142")])
def test_the_display_rounds_to_the_resolution_of_the_instrument(resolution: float, text: str) -> None:
    assert Tester(resolution_mohm=resolution).display(math.pi) == text


def test_the_working_can_be_followed_with_a_calculator() -> None:
    """Every line “a ÷ b = c” of the working is worked out again from its own figures."""
    parts = [resistor(1e6), from_register(RegisterEntry("resistor", resistance_ohm=2.2e6))]
    expected = expected_reading(Span.exact(50), parts, Tester(500))
    scale = {"GΩ": 1e9, "MΩ": 1e6, "kΩ": 1e3, "Ω": 1, "A": 1, "mA": 1e-3, "µA": 1e-6, "nA": 1e-9, "V": 1}
    quotient = re.compile(r"([\d.]+) (V) ÷ ([\d.]+) (\S+) = ([\d.]+) (\S+?);?(?:$| )")
    checked = 0
    for line in expected.working:
        if found := quotient.search(line):
            volts, _, ohm, ohm_unit, result, unit = found.groups()
            quotient_value = float(volts) / (float(ohm) * scale[ohm_unit])
            assert quotient_value == pytest.approx(float(result) * scale[unit], rel=0.006)
            checked += 1
    assert checked == 4  # the cable, two resistors, and the reading itself


def test_the_working_names_each_load_the_limit_and_the_charge() -> None:
    parts: list[Part] = [
        from_register(RegisterEntry("neon", resistance_ohm=220e3, name="landing switch")),
        from_register(RegisterEntry("suppression_capacitor", capacitance_uf=0.1)),
        from_register(RegisterEntry("surge_protection", continuous_v=275)),
    ]
    text = "\n".join(expected_reading(SOUND_CABLE_MOHM, parts, Tester(500)).working)
    assert "landing switch, 220 kΩ: (289" in text
    assert "− 70 V) ÷ 220 kΩ" in text
    assert "suppression capacitor, 0.1 µF: charged, passes no direct current" in text
    assert "÷ 430 V)^30" in text
    assert "more than the tester’s 1 mA" in text
    assert "discharge it with the tester, and prove it, before touching" in text


def test_the_assumptions_name_what_was_filled_in() -> None:
    parts = [from_register(RegisterEntry("neon"))]
    assumptions = expected_reading(SOUND_CABLE_MOHM, parts, Tester(500)).assumptions
    assert any("220 kΩ (value from memory)" in line for line in assumptions)
    assert "tester: holds 500 V up to 1 mA" in assumptions


def test_the_three_usual_voltages_at_once() -> None:
    readings = expected_readings(PERFECT_CABLE, [neon(220e3)], Tester(500, 0.015))
    assert list(readings) == [250, 500, 1000]
    # R = Rs·U/(U − 70): at 1000 V 220 · 1000/930 = 236.6 kΩ.
    assert readings[1000].mohm.typical * 1000 == pytest.approx(236.6, abs=0.05)


def test_current_at_a_voltage_counts_a_doubtful_neon_as_dark_and_as_lit() -> None:
    lamp = from_register(RegisterEntry(Kind.NEON, resistance_ohm=220e3))
    amps = current_at([lamp], 100)  # between striking 65 V to 135 V
    assert amps.low == 0
    assert amps.typical == pytest.approx((100 - 70) / 220e3)
    assert amps.high == pytest.approx((100 - 60) / 209e3)
