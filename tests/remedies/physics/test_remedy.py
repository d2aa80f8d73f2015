"""Remedies by hand arithmetic of the trade, against published limits, and as laws that must hold."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remedies.physics.checked import InputError
from remedies.physics.operating import Conditions, Draw, Reach, admittance, on_state
from remedies.physics.parts import (
    CapacitorClass,
    Connection,
    LoadModule,
    Neon,
    Part,
    RcNetwork,
    Resistor,
    SuppressionCapacitor,
)
from remedies.physics.quantity import Span
from remedies.physics.register_entry import RegisterEntry, from_register
from remedies.physics.remedy import Darkness, Evaluation, evaluate
from remedies.physics.stray_voltage import Neighbour, source

STRAY = source([Neighbour(230, 1.4e-9)])  # 20 m at 70 pF/m


def _resistor(ohm: float, rated_w: float | None = None, **values: object) -> Resistor:
    return Resistor(resistance_ohm=Span.exact(ohm), rated_w=rated_w, **values)  # type: ignore[arg-type]


def _capacitor(farad: float = 0.1e-6, **values: object) -> SuppressionCapacitor:
    given = {"safety_class": CapacitorClass.X2, "rated_v": 275.0, **values}
    return SuppressionCapacitor(capacitance_f=Span.exact(farad), **given)  # type: ignore[arg-type]


def _found(part: Part, **conditions: object) -> Evaluation:
    return evaluate(part, [STRAY], Conditions(**conditions))  # type: ignore[arg-type]


# --- on ---


@pytest.mark.parametrize(
    ("ohm", "milliamp", "watt"),
    [(560e3, 0.41, 0.094), (15e3, 15, 3.5), (7.5e3, 31, 7.0), (5.6e3, 41, 9.4)],
)
def test_resistors_on_230_v(ohm: float, milliamp: float, watt: float) -> None:
    # Common practice, no source: I = V/R and P = V²/R, figures rounded to two digits, hence 2.5 %.
    on = on_state(_resistor(ohm), 230)
    assert on.current_a * 1e3 == pytest.approx(milliamp, rel=0.025)
    assert on.power_w == pytest.approx(watt, rel=0.025)


@pytest.mark.parametrize(
    ("kilohm", "at_230", "at_253"),
    [(10, 5.3, 6.4), (22, 2.4, 2.9), (33, 1.6, 1.94), (47, 1.13, 1.36), (100, 0.53, 0.64), (220, 0.24, 0.29)],
)
def test_dummy_loads_at_nominal_and_highest_voltage(kilohm: float, at_230: float, at_253: float) -> None:
    # V²/R written to two or three figures; 220 kΩ at 0.24 W is a published figure. 2 % for the rounding.
    found = _found(_resistor(kilohm * 1e3, 20.0))
    assert found.nominal.power_w == pytest.approx(at_230, rel=0.02)
    assert found.highest.power_w == pytest.approx(at_253, rel=0.02)


def test_a_capacitor_takes_milliamps_but_next_to_no_power() -> None:
    found = _found(_capacitor())
    assert found.nominal.current_a == pytest.approx(7.23e-3, rel=5e-3)
    assert found.nominal.reactive_var == pytest.approx(230 * 7.23e-3, rel=5e-3)
    assert found.nominal.power_w < 0.01
    assert found.case_c is None


def test_an_rc_network_dissipates_in_its_resistor() -> None:
    # 100 Ω with 0.1 µF: I = 230 / |100 − j31831| = 7.23 mA, P = I²·100 = 5.2 mW.
    part = RcNetwork(resistance_ohm=Span.exact(100), capacitance_f=Span.exact(0.1e-6))
    on = on_state(part, 230)
    assert on.current_a == pytest.approx(7.2256e-3, rel=1e-4)
    assert on.power_w == pytest.approx(5.22e-3, rel=1e-3)


def test_energy_and_cost_of_a_year() -> None:
    # 3.527 W × 1500 h = 5.29 kWh; at 0.30 each, 1.59.
    found = _found(_resistor(15e3, 10.0), hours_on=1500, price_per_kwh=0.30)
    assert found.energy_kwh == pytest.approx(5.29, rel=1e-3)
    assert found.cost == pytest.approx(1.587, rel=1e-3)
    assert _found(_resistor(15e3, 10.0)).cost is None


def test_a_ceramic_15_k_part_measured_at_68_degrees_lies_in_the_estimate() -> None:
    # Common practice, no source: 15 kΩ ceramic, 3.5 W, about 68 °C in open air of 20 °C, so some 14 K/W.
    for part in (_resistor(15e3, 5.0), LoadModule(resistance_ohm=Span.exact(15e3))):
        case = _found(part, ambient_c=20).case_c
        assert case is not None
        assert case.typical == pytest.approx(68, abs=2)
        assert case.low < 68 < case.high


@given(st.floats(1e3, 1e6), st.floats(50, 250), st.floats(1.01, 3.0))
def test_power_goes_with_the_square_of_the_voltage(ohm: float, volts: float, factor: float) -> None:
    network = RcNetwork(resistance_ohm=Span.exact(ohm), capacitance_f=Span.exact(47e-9))
    for part in (_resistor(ohm), _capacitor(), network):
        one, other = on_state(part, volts), on_state(part, volts * factor)
        assert other.power_w == pytest.approx(one.power_w * factor**2)
        assert other.current_a == pytest.approx(one.current_a * factor)


def test_items_in_parallel_add_and_items_in_series_divide() -> None:
    assert admittance(_resistor(100e3, count=3)) == pytest.approx(3 / 100e3)
    assert admittance(_resistor(100e3, in_series=2)) == pytest.approx(1 / 200e3)
    assert admittance(_capacitor(count=2)) == pytest.approx(2 * admittance(_capacitor()))


def test_currents_of_capacitor_and_resistor_add_in_quadrature() -> None:
    both = admittance(_capacitor()) + admittance(_resistor(47e3))
    # 7.226 mA across, 4.894 mA in phase: 8.727 mA.
    assert 230 * abs(both) == pytest.approx(math.hypot(7.2257e-3, 230 / 47e3), rel=2e-3)


def test_the_ends_of_the_tolerance_draw_least_and_most() -> None:
    part = Resistor(resistance_ohm=Span.within(10e3, 0.05))
    assert [round(1 / abs(admittance(part, draw))) for draw in Draw] == [10500, 10000, 9500]


# --- off ---


def test_the_lamp_stays_dark_below_the_threshold_with_its_margin() -> None:
    found = _found(_capacitor(), glow_v=Span(10, 20, 40))
    # 101 µA into 101.4 nF: 3.2 V.
    assert found.lamp_v.typical == pytest.approx(3.18, rel=0.01)
    assert found.darkness is Darkness.DARK
    assert found.margin == pytest.approx(10 / 3.18, rel=0.01)


def test_darkness_is_uncertain_inside_the_threshold_and_glow_above_it() -> None:
    # 20 m into 200 kΩ: 20 V; into 1 MΩ: about 92 V.
    assert _found(_resistor(200e3, 1.0)).darkness is Darkness.UNCERTAIN
    assert _found(_resistor(1e6, 1.0)).darkness is Darkness.GLOWS


def test_the_lamp_voltage_covers_every_source_it_may_be() -> None:
    weak, strong = source([Neighbour(230, 0.7e-9)]), source([Neighbour(230, 3.5e-9)])
    found = evaluate(_resistor(47e3, 5.0), [STRAY, weak, strong])
    # The derived table of runs of cable: 2.4, 4.8 and 11.9 V on 47 kΩ.
    assert (found.lamp_v.low, found.lamp_v.typical, found.lamp_v.high) == pytest.approx(
        (2.4, 4.8, 11.9), rel=0.02
    )
    assert found.darkness is Darkness.UNCERTAIN


@given(st.floats(1e-9, 0.5e-6), st.floats(1.0, 10.0))
def test_a_larger_capacitor_never_leaves_more_voltage(farad: float, factor: float) -> None:
    less, more = _found(_capacitor(farad)), _found(_capacitor(farad * factor))
    assert more.lamp_v.high <= less.lamp_v.high * (1 + 1e-12)


def test_a_neon_that_is_not_struck_changes_nothing_and_says_so() -> None:
    weak = source([Neighbour(230, 0.4e-9)], earth_capacitance_f=1.2e-9)  # 57.5 V, crest 81 V
    part = Neon(series_ohm=Span.exact(220e3), strike_v=Span.exact(90), maintain_v=Span.exact(65))
    found = evaluate(part, [weak])
    assert found.strikes is False
    assert found.lamp_v.typical == pytest.approx(57.5)
    assert any("does not strike" in caution for caution in found.cautions)


def test_a_struck_neon_leaves_a_voltage_well_above_zero_and_says_so() -> None:
    found = _found(Neon(series_ohm=Span.exact(220e3)))
    assert found.strikes is True
    assert found.lamp_v.low > 50
    assert any("well above zero" in caution for caution in found.cautions)


# --- ratings ---


def test_a_resistor_chosen_by_eye_is_refused_with_the_working() -> None:
    found = _found(_resistor(390, 0.25))
    assert found.refusals == ("230² ÷ 390 Ω = 136 W in a 0.25 W part.",)
    assert found.refused
    assert found.case_c is None
    assert found.rating_share is not None
    assert found.rating_share > 500


def test_a_resistor_that_only_the_highest_voltage_overloads_is_refused_too() -> None:
    # 47 kΩ: 1.13 W at 230 V, 1.36 W at 253 V, in a 1.2 W part.
    (refusal,) = _found(_resistor(47e3, 1.2)).refusals
    assert refusal.startswith("253² ÷ 47 kΩ = 1.36 W in a 1.2 W part")


def test_a_resistor_without_a_rating_is_refused_with_the_rating_it_needs() -> None:
    (refusal,) = _found(_resistor(47e3)).refusals
    assert "rating is not given" in refusal
    assert "1.36 W" in refusal


def test_a_resistor_in_hot_air_loses_its_rating_in_a_line() -> None:
    # IEC 60115: full at 70 °C, none at 155 °C, so half at 112.5 °C. 47 kΩ takes 1.36 W at 253 V.
    assert _found(_resistor(47e3, 2.0), ambient_c=70).refusals == ()
    (refusal,) = _found(_resistor(47e3, 2.0), ambient_c=112.5).refusals
    assert "holds 1 W in air of 113 °C" in refusal or "holds 1 W in air of 112 °C" in refusal


def test_more_than_half_the_rating_is_cautioned() -> None:
    assert any("90 %" in c or "91 %" in c for c in _found(_resistor(47e3, 1.5)).cautions)
    assert not any("rated power" in c for c in _found(_resistor(47e3, 3.0, working_v=500)).cautions)


def test_working_voltage_decides_how_many_in_series() -> None:
    # A small metal film part of ¼ W: 150 V. 253 V over two is 127 V each; alone it is over.
    (refusal,) = _found(_resistor(470e3, 0.25, working_v=150)).refusals
    assert "253 V (crest 358 V)" in refusal
    assert "two or more in series" in refusal
    pair = _found(_resistor(235e3, 0.25, working_v=150, in_series=2))
    assert pair.refusals == ()
    assert pair.peak_v == pytest.approx(253 * math.sqrt(2) / 2)


def test_unequal_resistors_in_series_do_not_share_equally() -> None:
    part = Resistor(resistance_ohm=Span.within(100e3, 0.05), in_series=2, rated_w=0.5, working_v=130)
    # 253·105/(105 + 95) = 132.8 V on the larger of the two.
    (refusal,) = _found(part).refusals
    assert "133 V" in refusal


@pytest.mark.parametrize("safety_class", [CapacitorClass.X1, CapacitorClass.X2])
@pytest.mark.parametrize("connection", [Connection.LINE_EARTH, Connection.NEUTRAL_EARTH])
def test_x_class_never_goes_to_earth(safety_class: CapacitorClass, connection: Connection) -> None:
    # IEC 60384-14: X where failure cannot lead to shock, Y between line and earth.
    found = _found(_capacitor(4.7e-9, safety_class=safety_class, connection=connection))
    assert any("Only Y class goes to earth" in refusal for refusal in found.refusals)


@pytest.mark.parametrize("safety_class", [CapacitorClass.Y1, CapacitorClass.Y2])
def test_y_class_may_go_to_earth_and_may_replace_x(safety_class: CapacitorClass) -> None:
    to_earth = _found(
        _capacitor(4.7e-9, safety_class=safety_class, connection=Connection.LINE_EARTH, rated_v=300)
    )
    across = _found(_capacitor(4.7e-9, safety_class=safety_class, rated_v=300))
    assert to_earth.refusals == across.refusals == ()


def test_a_capacitor_without_class_is_refused() -> None:
    assert "Not marked X or Y" in _found(_capacitor(safety_class=None)).refusals[0]


@pytest.mark.parametrize(
    ("rated", "refused"), [(250.0, True), (253.0, False), (275.0, False), (310.0, False)]
)
def test_a_capacitor_is_rated_above_the_supply_voltage(rated: float, refused: bool) -> None:
    found = _found(_capacitor(rated_v=rated))
    assert found.refused is refused
    assert found.rating_share == pytest.approx(253 / rated)


def test_touch_limits_are_those_of_table_42_1() -> None:
    # BS 7671 Table 42.1: metallic 55, 70, 80 °C; non-metallic 65, 80, 90 °C.
    limits = [
        Conditions(reach=reach, metal=metal).touch_limit_c for metal in (True, False) for reach in Reach
    ]
    assert limits == [55, 70, 80, 65, 80, 90]


def test_a_case_hotter_than_touch_or_cable_insulation_stands_is_cautioned() -> None:
    hot = _found(_resistor(15e3, 5.0), reach=Reach.HELD, metal=True)
    assert sum("°C" in caution for caution in hot.cautions) == 2
    cool = _found(_resistor(100e3, 5.0, working_v=500), reach=Reach.HELD, metal=True)
    assert not any("°C" in caution for caution in cool.cautions)


def test_a_part_shut_in_runs_hotter() -> None:
    open_air, shut = (_found(_resistor(47e3, 3.0), enclosed=enclosed).case_c for enclosed in (False, True))
    assert open_air is not None
    assert shut is not None
    assert shut.high > open_air.high


# --- charge, earth, tests ---


@pytest.mark.parametrize(("megohm", "crest"), [(4.43, 325), (4.25, 358)])
def test_discharge_of_a_tenth_of_a_microfarad_to_34_v_in_a_second(megohm: float, crest: float) -> None:
    # R = t/(C·ln(U/V)): 0.1 µF, 34 V in 1 s from 325 V or 358 V (IEC 60335-1, 22.5, and the trade's
    # arithmetic).
    part = _capacitor(discharge_ohm=Span.exact(megohm * 1e6))
    found = _found(part, supply_v=crest / math.sqrt(2), highest_v=crest / math.sqrt(2))
    assert found.discharge_s is not None
    assert found.discharge_s.typical == pytest.approx(1.0, rel=3e-3)


def test_a_large_capacitor_that_discharges_slowly_is_cautioned() -> None:
    slow = _found(_capacitor(0.47e-6, discharge_ohm=Span.exact(2.2e6)))
    assert any("to fall to 34 V" in caution for caution in slow.cautions)
    quick = _found(_capacitor(0.22e-6, discharge_ohm=Span.exact(1e6)))
    assert not any("to fall to" in caution for caution in quick.cautions)
    none = _found(_capacitor())
    assert none.discharge_s is None
    assert any("no discharge resistor" in caution for caution in none.cautions)


def test_standing_current_is_held_against_the_rcd() -> None:
    # BS 7671 531.3.2: 30 % of 30 mA is 9 mA; a 30 mA RCD may trip from 15 mA.
    values = {"safety_class": CapacitorClass.Y2, "rated_v": 300.0, "connection": Connection.LINE_EARTH}
    light = _found(_capacitor(4.7e-9, **values))
    assert light.residual_a == pytest.approx(253 * 2 * math.pi * 50 * 4.7e-9, rel=1e-3)
    assert not any("RCD" in text for text in light.cautions + light.refusals)
    middling = _found(_capacitor(0.12e-6, **values))  # 9.5 mA
    assert any("30 %" in caution for caution in middling.cautions)
    heavy = _found(_capacitor(0.22e-6, **values))  # 17.5 mA
    assert any("trip" in refusal for refusal in heavy.refusals)
    on_top = _found(_capacitor(4.7e-9, **values), standing_a=0.009)
    assert any("30 %" in caution for caution in on_top.cautions)
    assert _found(_capacitor()).residual_a == 0


@pytest.mark.parametrize(
    ("entry", "first"),
    [
        (
            RegisterEntry("suppression_capacitor", capacitance_uf=0.1, capacitor_class="X2", rated_v=275),
            False,
        ),
        (
            RegisterEntry(
                "suppression_capacitor",
                capacitance_uf=0.1,
                capacitor_class="X2",
                rated_v=275,
                discharge_ohm=470e3,
            ),
            True,
        ),
        (RegisterEntry("resistor", resistance_ohm=47e3, rated_w=3, working_v=500), True),
        (RegisterEntry("neon", resistance_ohm=220e3), True),
        (RegisterEntry("load_module", resistance_ohm=33e3), True),
    ],
)
def test_what_reads_below_a_megohm_is_disconnected_first(entry: RegisterEntry, first: bool) -> None:
    # BS 7671 Table 64: 1 MΩ. A capacitor alone settles; anything that passes direct current does not.
    assert evaluate(from_register(entry), [STRAY]).disconnect_first is first


def test_the_insulation_test_is_foretold_at_250_and_500_v() -> None:
    # 220 kΩ neon, 70 V maintained: 306 kΩ at 250 V, 256 kΩ at 500 V (derived); 0.31 and 0.26 lie in the
    # ranges.
    found = _found(Neon(series_ohm=Span.exact(220e3)))
    assert set(found.insulation) == {250.0, 500.0}
    assert 0.306 in found.insulation[250].mohm
    assert 0.256 in found.insulation[500].mohm


def test_every_remedy_says_how_it_fails_and_shows_its_working() -> None:
    for part in (
        _capacitor(),
        _resistor(47e3, 3.0),
        Neon(series_ohm=Span.exact(220e3)),
        LoadModule(resistance_ohm=Span.exact(33e3)),
        RcNetwork(resistance_ohm=Span.exact(100), capacitance_f=Span.exact(0.1e-6)),
    ):
        found = _found(part)
        assert "glow" in found.failure
        assert len(found.working) == 4
        assert any("assumption" in line for line in found.assumptions)


# --- nonsense ---


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"supply_v": 0}, "supply voltage"),
        ({"supply_v": 10e3}, "nothing here is for high voltage"),
        ({"supply_v": 230, "highest_v": 207}, "Give 253 for 230 V"),
        ({"frequency_hz": -50}, "Give 50 or 60"),
        ({"glow_v": Span(0, 0, 0)}, "glow threshold"),
        ({"ambient_c": 900}, "25 for a room"),
        ({"hours_on": -1}, "8760 for always"),
        ({"hours_on": 9000}, "8760 for always"),
        ({"rcd_rated_a": 30}, "0.03 for 30 mA"),
        ({"standing_a": -1}, "0 when none is known"),
        ({"price_per_kwh": -0.3}, "price of one kWh"),
    ],
)
def test_conditions_that_cannot_be_are_refused_with_what_to_type_instead(
    values: dict[str, object], says: str
) -> None:
    with pytest.raises(InputError) as raised:
        Conditions(**values)  # type: ignore[arg-type]
    assert says in str(raised.value)


@pytest.mark.parametrize(
    ("part", "says"),
    [
        (replace(_capacitor(), capacitance_f=Span.exact(0.1)), "0.1e-6 for 0.1 µF"),
        (replace(_capacitor(), capacitance_f=Span.exact(-1e-7)), "0.1e-6 for 0.1 µF"),
        (_resistor(0), "47e3 for 47 kΩ"),
        (_resistor(-5), "47e3 for 47 kΩ"),
        (Neon(series_ohm=Span.exact(0)), "220e3 for 220 kΩ"),
        (from_register(RegisterEntry("wound_transformer", rated_va=50)), "is not a remedy"),
        (from_register(RegisterEntry("surge_protection")), "is not a remedy"),
    ],
)
def test_parts_that_cannot_be_are_refused_with_what_to_type_instead(part: Part, says: str) -> None:
    with pytest.raises(InputError) as raised:
        evaluate(part, [STRAY])
    assert says in str(raised.value)


def test_a_remedy_needs_a_source() -> None:
    with pytest.raises(InputError, match="Enter two meter readings"):
        evaluate(_capacitor(), [])
