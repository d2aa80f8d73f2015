"""A measured reading held against the register, by hand and by property."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from remedies.physics.explain import OPERATING_UNCERTAINTY, explain
from remedies.physics.explanation import Explanation, Verdict
from remedies.physics.insulation_test import SOUND_CABLE_MOHM, expected_reading
from remedies.physics.measured import Measured, Settling
from remedies.physics.parts import Kind, Part
from remedies.physics.quantity import Span
from remedies.physics.register_entry import RegisterEntry, from_register
from remedies.physics.tester import Between, Tester
from remedies.physics.two_voltages import Law

STRONG = Tester(500, 0.015)


def _part(kind: str, **values: object) -> Part:
    return from_register(RegisterEntry(kind, **values))  # type: ignore[arg-type]


def _kinds(answer: Explanation) -> set[Kind | None]:
    return {candidate.kind for candidate in answer.candidates}


# --- the reading itself -------------------------------------------------------------------------------------


def test_the_operating_uncertainty_is_that_of_iec_61557_2() -> None:
    # ±30 % of the reading: 1.3 MΩ shown may be 1.0 MΩ; 0.7 MΩ shown may be 1.0 MΩ.
    assert Measured(1.3, resolution_mohm=0).true_mohm(OPERATING_UNCERTAINTY).low == pytest.approx(1.0)
    assert Measured(0.7, resolution_mohm=0).true_mohm(OPERATING_UNCERTAINTY).high == pytest.approx(1.0)


def test_a_reading_over_range_has_no_upper_bound() -> None:
    assert math.isinf(Measured(200, ">").true_mohm(0.3).high)
    assert Measured(0.1, "<").true_mohm(0.3).low == 0


@pytest.mark.parametrize(("mohm", "relation"), [(-1, "="), (1, "~")])
def test_a_reading_that_cannot_be_is_refused(mohm: float, relation: str) -> None:
    with pytest.raises(ValueError, match="reading"):
        Measured(mohm, relation)


# --- explained ----------------------------------------------------------------------------------------------


def test_a_neon_explains_the_fraction_of_a_megohm_it_causes() -> None:
    # 220 kΩ neon on a 1 mA tester: 1 mA · 220 kΩ + 70 V = 290 V, 0.29 MΩ.
    answer = explain(Measured(0.29), [_part("neon", resistance_ohm=220e3)], Tester(500))
    assert answer.verdict is Verdict.EXPLAINED
    assert answer.candidates == ()
    assert answer.cable is not None
    assert answer.cable.only_lower_bound
    assert "Disconnect the registered loads and test again" in answer.next_step


def test_nothing_registered_and_out_of_range_is_sound_insulation() -> None:
    answer = explain(Measured(200, ">"), [], Tester(500))
    assert answer.verdict is Verdict.EXPLAINED
    assert answer.next_step == ""
    assert any("that of the insulation" in line for line in answer.lines)


def test_taking_a_known_resistor_out_of_a_reading() -> None:
    # By hand: 1/(1/0.8 − 1/1.0) = 4.0 MΩ; the error of the reading is multiplied by 4.0/0.8 = 5.
    known = _part("resistor", resistance_ohm=1e6, tolerance=0.0001)
    answer = explain(Measured(0.8, resolution_mohm=0), [known], STRONG, uncertainty=0.02)
    assert answer.verdict is Verdict.EXPLAINED
    assert answer.cable is not None
    assert answer.cable.mohm.typical == pytest.approx(4.0)
    assert answer.cable.error_factor == pytest.approx(5.0)
    assert not answer.cable.only_lower_bound
    # 1/(1.02/0.8 − 1) = 3.64 MΩ and 1/(0.98/0.8 − 1) = 4.44 MΩ.
    assert answer.cable.mohm.low == pytest.approx(3.636, rel=0.002)
    assert answer.cable.mohm.high == pytest.approx(4.444, rel=0.002)


def test_above_a_tenfold_error_only_a_lower_bound_is_given() -> None:
    # By hand: 1/(1/0.95 − 1) = 19 MΩ, twenty times the reading; at least 1/(1.02/0.95 − 1) = 13.6 MΩ.
    known = _part("resistor", resistance_ohm=1e6, tolerance=0.0001)
    answer = explain(Measured(0.95, resolution_mohm=0), [known], STRONG, uncertainty=0.02)
    assert answer.cable is not None
    assert answer.cable.error_factor == pytest.approx(20, rel=0.01)
    assert answer.cable.only_lower_bound
    assert answer.cable.text == "at least 14 MΩ"


def test_a_winding_hides_the_cable_altogether() -> None:
    answer = explain(Measured(0), [_part("wound_transformer", rated_va=50)], Tester(500))
    assert answer.verdict is Verdict.EXPLAINED
    assert answer.cable is not None
    assert answer.cable.text == "hidden by the loads"


# --- lower --------------------------------------------------------------------------------------------------


def test_what_more_is_across_by_the_formula() -> None:
    # By hand: 1/(1/0.33 − 1/0.66) = 0.66 MΩ beside a known 0.66 MΩ (cable taken as perfect).
    known = _part("resistor", resistance_ohm=0.66e6, tolerance=0.0001)
    answer = explain(
        Measured(0.33, resolution_mohm=0), [known], STRONG, cable_mohm=Span.exact(1e9), uncertainty=0.1
    )
    assert answer.verdict is Verdict.LOWER
    assert answer.missing_ohm is not None
    assert answer.missing_ohm.typical == pytest.approx(0.66e6, rel=0.001)


def test_a_low_reading_could_be_a_neon_and_always_poor_insulation() -> None:
    answer = explain(Measured(0.29), [], Tester(500))
    assert answer.verdict is Verdict.LOWER
    assert {Kind.NEON, Kind.ACCESSORY_NEON, Kind.DRIVER, None} <= _kinds(answer)
    assert Kind.WOUND_TRANSFORMER not in _kinds(answer)
    assert Kind.SURGE_PROTECTION not in _kinds(answer)  # at 290 V a 275 V varistor does not conduct
    assert answer.cable is None


def test_no_reading_at_all_could_be_a_winding() -> None:
    answer = explain(Measured(0), [], Tester(500))
    assert Kind.WOUND_TRANSFORMER in _kinds(answer)
    assert None in _kinds(answer)
    assert Kind.NEON not in _kinds(answer)


def test_several_of_a_kind_are_offered_where_one_is_not_enough() -> None:
    # 0.05 MΩ on a strong tester: one neon of 150 kΩ to 470 kΩ is too much, several are not.
    answer = explain(Measured(0.05), [], STRONG)
    neons = [candidate for candidate in answer.candidates if candidate.kind is Kind.NEON]
    assert [candidate.count > 1 for candidate in neons] == [True]


def test_the_next_measurement_names_what_each_cause_would_read() -> None:
    # At 1 mA the 0.29 MΩ was taken at 290 V. A neon then takes 1 mA at 290 V, (250 − 70)/(290 − 70) mA =
    # 0.818 mA at 250 V: 0.31 MΩ. A resistance stays at 0.29 MΩ.
    answer = explain(Measured(0.29), [], Tester(500))
    assert "Test again at 250 V" in answer.next_step
    assert "resistance or poor insulation would read about 0.29 MΩ" in answer.next_step
    assert "a neon about 0.31 MΩ" in answer.next_step


def test_where_the_tester_is_at_its_limit_at_any_setting_another_voltage_tells_nothing() -> None:
    # 0.05 MΩ at 1 mA is 50 V whatever the setting.
    answer = explain(Measured(0.05, settling=Settling.STEADY), [], Tester(500))
    assert "Test again" not in answer.next_step
    assert "Split the circuit" in answer.next_step


# --- two readings -------------------------------------------------------------------------------------------


def _best(answer: Explanation) -> Law:
    return answer.shares[0].law


def test_the_published_pair_of_a_neon_is_told_from_a_resistor() -> None:
    # 220 kΩ neon: 306 kΩ at 250 V, 256 kΩ at 500 V.
    answer = explain(
        Measured(0.256, resolution_mohm=0.001),
        [],
        STRONG,
        second=Measured(0.306, nominal_v=250, resolution_mohm=0.001),
    )
    assert _best(answer) is Law.NEON
    assert answer.shares[0].share > 0.9
    assert Kind.RESISTOR not in _kinds(answer)
    assert None not in _kinds(answer)


def test_the_same_reading_twice_is_a_resistance_or_poor_insulation() -> None:
    answer = explain(
        Measured(0.306, resolution_mohm=0.001),
        [],
        STRONG,
        second=Measured(0.306, nominal_v=250, resolution_mohm=0.001),
    )
    assert _best(answer) is Law.LINEAR
    assert {Kind.RESISTOR, None} <= _kinds(answer)
    assert Kind.NEON not in _kinds(answer)
    assert any("Poor insulation looks the same as a resistor" in line for line in answer.lines)


def test_a_reading_that_jumps_out_of_range_at_250_v_is_a_varistor() -> None:
    # 430 V varistor: 0.43 MΩ on a 1 mA tester at 500 V, beyond 100 MΩ at 250 V.
    answer = explain(Measured(0.43), [], Tester(500), second=Measured(100, ">", nominal_v=250))
    assert _best(answer) is Law.VARISTOR
    assert _kinds(answer) == {Kind.SURGE_PROTECTION}


def test_a_neon_disappears_at_50_v() -> None:
    # W. G. Miller (1969): dark below about 65 V. A varistor would have been dark at 256 kΩ and 250 V too.
    answer = explain(
        Measured(0.306, nominal_v=250), [], Tester(250, 0.015), second=Measured(100, ">", nominal_v=50)
    )
    assert answer.shares[0].share > answer.shares[-1].share
    linear = next(share.share for share in answer.shares if share.law is Law.LINEAR)
    assert linear < 0.01


def test_two_readings_at_the_same_limited_voltage_carry_no_likelihood() -> None:
    answer = explain(Measured(0.10), [], Tester(500), second=Measured(0.10, nominal_v=250))
    assert answer.shares == ()
    assert any("do not tell" in line for line in answer.lines)


def test_readings_limited_to_nearly_one_voltage_carry_no_likelihood_whatever_their_scatter() -> None:
    # 240 V and 230 V reached: the difference is scatter, and would speak against a varistor if it were
    # believed.
    answer = explain(Measured(0.23), [], Tester(500), second=Measured(0.24, nominal_v=250))
    assert answer.shares == ()


def test_the_error_grows_with_what_is_taken_off() -> None:
    # 2 MΩ beside a registered 100 kΩ: 3 % of the reading is 60 % of what is left, too coarse for a neon's 18
    # %.
    answer = explain(
        Measured(0.0952, resolution_mohm=0.0001),
        [_part("resistor", resistance_ohm=100e3, tolerance=0.001)],
        STRONG,
        cable_mohm=Span.exact(1e4),
        second=Measured(0.0952, nominal_v=250, resolution_mohm=0.0001),
        uncertainty=0.01,
    )
    by_law = {share.law: share.share for share in answer.shares}
    assert by_law[Law.LINEAR] < 2 * by_law[Law.NEON]


def test_coarse_readings_carry_no_likelihood() -> None:
    # With a step of 0.1 MΩ, 0.3 MΩ at both voltages leaves a neon and a resistor about as likely.
    answer = explain(
        Measured(0.3, resolution_mohm=0.1),
        [],
        STRONG,
        second=Measured(0.3, nominal_v=250, resolution_mohm=0.1),
    )
    by_law = {share.law: share.share for share in answer.shares}
    assert not by_law or by_law[Law.NEON] > 0.2


def test_the_pair_is_weighed_after_the_registered_load_is_taken_off() -> None:
    # A registered 330 kΩ beside an unregistered 220 kΩ neon, strong tester:
    # 500 V: 500/330k + 430/220k = 3.470 mA, 144.1 kΩ; 250 V: 250/330k + 180/220k = 1.576 mA, 158.7 kΩ.
    answer = explain(
        Measured(0.1441, resolution_mohm=0.0001),
        [_part("resistor", resistance_ohm=330e3, tolerance=0.001)],
        STRONG,
        second=Measured(0.1587, nominal_v=250, resolution_mohm=0.0001),
    )
    assert answer.verdict is Verdict.LOWER
    assert answer.missing_ohm is not None
    assert answer.missing_ohm.typical == pytest.approx(256e3, rel=0.01)
    assert _best(answer) is Law.NEON


# --- higher -------------------------------------------------------------------------------------------------


def test_out_of_range_with_a_neon_registered_means_the_neon_is_not_in_circuit() -> None:
    answer = explain(Measured(200, ">"), [_part("neon", name="hall switch")], Tester(500))
    assert answer.verdict is Verdict.HIGHER
    assert [absence.text for absence in answer.absences] == ["hall switch"]
    assert answer.cable is None


def test_which_of_two_loads_is_missing_follows_from_the_numbers() -> None:
    # 100 kΩ and 1 MΩ registered; 1 MΩ read: the 100 kΩ is out.
    small = _part("resistor", resistance_ohm=100e3, name="small")
    large = _part("resistor", resistance_ohm=1e6, name="large")
    answer = explain(Measured(1.0), [small, large], STRONG)
    assert answer.verdict is Verdict.HIGHER
    assert [absence.text for absence in answer.absences] == ["small"]


def test_how_many_of_several_are_missing() -> None:
    # Four of 400 kΩ make 100 kΩ; 200 kΩ read leaves two of them: 133 kΩ with three, ±30 % does not reach 200
    # kΩ…
    four = _part("resistor", resistance_ohm=400e3, tolerance=0.01, count=4)
    answer = explain(Measured(0.2, resolution_mohm=0.001), [four], STRONG, uncertainty=0.1)
    assert [absence.text for absence in answer.absences] == ["2 × resistor of 4"]


def test_a_reading_no_absence_explains_says_to_check_the_leads() -> None:
    # Three of 220 kΩ: with two out 220 kΩ, with all out 2 MΩ or more. 0.8 MΩ is neither.
    answer = explain(Measured(0.8), [_part("resistor", resistance_ohm=220e3, count=3)], Tester(500))
    assert answer.verdict is Verdict.HIGHER
    assert answer.absences == ()
    assert any("check leads and switches" in line for line in answer.lines)


# --- climbing -----------------------------------------------------------------------------------------------


def test_a_reading_that_climbed_shows_an_unregistered_capacitor_and_its_size() -> None:
    # C = I·t/U: 1 mA · 50 ms / 500 V = 0.1 µF.
    measured = Measured(200, ">", settling=Settling.CLIMBED, settled_after_s=0.05)
    answer = explain(measured, [], Tester(500))
    assert answer.unregistered_capacitance
    assert answer.capacitance_f is not None
    assert answer.capacitance_f.typical == pytest.approx(0.1e-6, rel=0.01)
    assert any("0.1 µF" in line and "Discharge" in line for line in answer.lines)


def test_a_registered_capacitor_explains_the_climb() -> None:
    measured = Measured(200, ">", settling=Settling.CLIMBED, settled_after_s=0.05)
    answer = explain(measured, [_part("suppression_capacitor", capacitance_uf=0.1)], Tester(500))
    assert not answer.unregistered_capacitance
    assert answer.capacitance_f is None


def test_a_climb_that_was_not_timed_gives_no_size() -> None:
    answer = explain(Measured(200, ">", settling=Settling.CLIMBED), [], Tester(500))
    assert answer.unregistered_capacitance
    assert answer.capacitance_f is None


# --- for any loads ------------------------------------------------------------------------------------------

resistors = st.lists(st.floats(50e3, 5e6), min_size=1, max_size=3).map(
    lambda values: [_part("resistor", resistance_ohm=ohm) for ohm in values]
)


@given(resistors, st.sampled_from([250.0, 500.0, 1000.0]), st.floats(0.001, 0.015))
def test_the_expected_reading_is_always_explained(
    parts: list[Part], nominal_v: float, limit_a: float
) -> None:
    tester = Tester(nominal_v, limit_a)
    typical = expected_reading(SOUND_CABLE_MOHM, parts, tester).mohm.typical
    answer = explain(Measured(typical, nominal_v=nominal_v), parts, tester)
    assert answer.verdict is Verdict.EXPLAINED


@given(resistors, st.floats(10e3, 300e3))
def test_an_unregistered_resistor_is_found_within_its_range(parts: list[Part], hidden_ohm: float) -> None:
    hidden = _part("resistor", resistance_ohm=hidden_ohm)
    reading = expected_reading(SOUND_CABLE_MOHM, [*parts, hidden], STRONG).mohm.typical
    answer = explain(Measured(reading, resolution_mohm=0.0001), parts, STRONG)
    assume(answer.verdict is Verdict.LOWER)
    assert answer.missing_ohm is not None
    assert hidden_ohm in answer.missing_ohm
    assert answer.missing_ohm.typical == pytest.approx(hidden_ohm, rel=0.02)


@given(resistors, st.floats(1.1, 100))
def test_the_cable_behind_registered_resistors_is_within_the_bound_given(
    parts: list[Part], cable_mohm: float
) -> None:
    reading = expected_reading(Span.exact(cable_mohm), parts, STRONG).mohm.typical
    answer = explain(Measured(reading), parts, STRONG)
    assume(answer.cable is not None)
    assert answer.cable is not None
    assert answer.cable.mohm.low <= cable_mohm <= answer.cable.mohm.high


@given(resistors)
def test_a_load_taken_out_is_named(parts: list[Part]) -> None:
    named = [_part("resistor", resistance_ohm=50e3, name="taken out"), *parts]
    reading = expected_reading(SOUND_CABLE_MOHM, parts, STRONG).mohm.typical
    answer = explain(Measured(reading), named, STRONG)
    assume(answer.verdict is Verdict.HIGHER)
    assert any("taken out" in absence.text for absence in answer.absences)


@given(st.sampled_from(list(Kind)), st.floats(0, 300), st.sampled_from("<=>"), st.sampled_from(list(Between)))
def test_every_reading_gets_an_answer_in_words(
    kind: Kind, mohm: float, relation: str, between: Between
) -> None:
    answer = explain(Measured(mohm, relation), [from_register(RegisterEntry(kind))], Tester(500), between)
    assert answer.lines[0].startswith("Expected")
    assert not any("nan" in line or "None" in line for line in answer.lines)
    if answer.verdict is Verdict.LOWER:
        assert answer.candidates
        assert answer.next_step
