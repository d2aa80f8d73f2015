"""Which loads may see the test voltage."""

import pytest

from remedies.physics.damage import Judgement, Ruling, judge, must_come_out
from remedies.physics.parts import Kind, Part
from remedies.physics.register_entry import RegisterEntry, from_register
from remedies.physics.tester import Between


def _part(kind: str, **values: object) -> Part:
    return from_register(RegisterEntry(kind, **values))  # type: ignore[arg-type]


def _judge(part: Part, test_v: float = 500, **how: object) -> Judgement:
    (judgement,) = judge([part], test_v, **how)  # type: ignore[arg-type]
    return judgement


# IEC 60384-14: class X is proved between terminals at 4.3 × rated voltage d.c.; 4.3 · 275 V = 1183 V.
@pytest.mark.parametrize("test_v", [250, 500, 1000])
def test_a_class_x2_capacitor_of_275_v_may_stay(test_v: float) -> None:
    judgement = _judge(
        _part("suppression_capacitor", capacitance_uf=0.1, capacitor_class="X2", rated_v=275), test_v
    )
    assert judgement.ruling is Ruling.MAY_STAY
    assert "1183 V" in judgement.reason or "1182" in judgement.reason
    assert "IEC 60384-14" in judgement.source


def test_a_capacitor_below_its_proof_voltage_must_come_out() -> None:
    # 4.3 · 100 V = 430 V, below 500 V.
    part = _part("suppression_capacitor", capacitance_uf=0.1, capacitor_class="X2", rated_v=100)
    assert _judge(part).ruling is Ruling.TAKE_OUT
    assert _judge(part, 250).ruling is Ruling.MAY_STAY


@pytest.mark.parametrize("values", [{"rated_v": 275}, {"capacitor_class": "X2"}])
def test_a_capacitor_of_unknown_class_or_rating_is_not_taken_as_safe(values: dict[str, object]) -> None:
    part = _part("suppression_capacitor", capacitance_uf=0.1, **values)
    assert _judge(part).ruling is Ruling.CANNOT_TELL


def test_a_class_x_capacitor_to_earth_comes_out_for_good() -> None:
    # IEC 60384-14: class X may only stand where its failure gives no shock, never from line to earth.
    part = _part("suppression_capacitor", capacitor_class="X2", rated_v=275, connection="L-E")
    judgement = _judge(part, between=Between.LIVES_JOINED_EARTH)
    assert judgement.ruling is Ruling.TAKE_OUT
    assert "must not go to earth" in judgement.reason


def test_a_class_y_capacitor_to_earth_may_stay() -> None:
    # Class Y2 is proved at 1.5 kV a.c. (IEC 60384-14, value from memory).
    part = _part("suppression_capacitor", capacitor_class="Y2", rated_v=250, connection="L-E")
    assert _judge(part, between=Between.LIVES_JOINED_EARTH).ruling is Ruling.MAY_STAY


def test_a_capacitor_with_a_discharge_resistor_is_in_doubt() -> None:
    part = _part("suppression_capacitor", capacitor_class="X2", rated_v=275, discharge_ohm=470e3)
    assert _judge(part).ruling is Ruling.CANNOT_TELL


@pytest.mark.parametrize("kind", ["driver", "dimmer", "timer", "sensor"])
def test_electronics_must_not_see_500_v(kind: str) -> None:
    # BS 7671 643.3.2: equipment likely to be damaged is disconnected first.
    assert _judge(_part(kind)).ruling is Ruling.TAKE_OUT
    assert "643.3" in _judge(_part(kind)).source
    assert _judge(_part(kind), 250).ruling is Ruling.CANNOT_TELL


def test_surge_protection_must_not_see_500_v_but_may_250() -> None:
    # BS 7671 643.3.2: where an SPD cannot reasonably be disconnected the circuit is tested at 250 V d.c.
    # Its crest voltage is √2 · 275 V = 389 V.
    part = _part("surge_protection", continuous_v=275)
    assert _judge(part).ruling is Ruling.TAKE_OUT
    assert "389 V" in _judge(part).reason
    assert _judge(part, 250).ruling is Ruling.MAY_STAY


# IEC 60115 carbon film: ¼ W 250 V, ½ W 300 V, 1 W 400 V, 2 W 500 V limiting voltage; 500 V is beyond ¼ to 1
# W.
@pytest.mark.parametrize(
    ("rated_w", "working_v", "ruling"),
    [
        (0.25, 250, Ruling.TAKE_OUT),
        (0.5, 300, Ruling.TAKE_OUT),
        (1, 400, Ruling.TAKE_OUT),
        (2, 500, Ruling.MAY_STAY),
    ],
)
def test_a_resistor_beyond_its_working_voltage_comes_out(
    rated_w: float, working_v: float, ruling: Ruling
) -> None:
    part = _part("resistor", resistance_ohm=470e3, rated_w=rated_w, working_v=working_v)
    assert _judge(part).ruling is ruling


def test_the_power_limit_counts_below_the_critical_resistance() -> None:
    # √(P·R): 1 W and 47 kΩ bear √47000 = 217 V, less than the 400 V limiting voltage.
    part = _part("resistor", resistance_ohm=47e3, rated_w=1, working_v=400)
    judgement = _judge(part)
    assert judgement.ruling is Ruling.TAKE_OUT
    assert "217 V" in judgement.reason


def test_a_tester_known_to_be_weak_cannot_reach_the_limit() -> None:
    # 1 mA through 47 kΩ is 47 V.
    part = _part("resistor", resistance_ohm=47e3, rated_w=1, working_v=400)
    assert _judge(part, current_limit_a=0.001).ruling is Ruling.MAY_STAY


def test_resistors_in_series_share_the_voltage() -> None:
    # 500 V over two is 250 V each; √(0.5 W · 220 kΩ) = 332 V, limiting voltage 300 V.
    part = _part("resistor", resistance_ohm=220e3, in_series=2, rated_w=0.5, working_v=300)
    assert _judge(part).ruling is Ruling.MAY_STAY
    assert "Each resistor" in _judge(part).reason


def test_a_resistor_without_recorded_ratings_is_in_doubt() -> None:
    assert _judge(_part("resistor", resistance_ohm=470e3)).ruling is Ruling.CANNOT_TELL


def test_a_resistor_of_unknown_power_is_in_doubt_though_its_working_voltage_is_enough() -> None:
    # 500 V across 470 kΩ is 1.06 mA and 0.53 W.
    judgement = _judge(_part("resistor", resistance_ohm=470e3, working_v=500))
    assert judgement.ruling is Ruling.CANNOT_TELL
    assert "0.53 W" in judgement.reason


def test_a_resistor_of_unknown_working_voltage_is_in_doubt_above_the_least_usual_one() -> None:
    # √(2 W · 100 kΩ) = 447 V; the smallest usual resistors bear 150 V. Two in series see 125 V each at 250 V.
    assert _judge(_part("resistor", resistance_ohm=100e3, rated_w=2), 250).ruling is Ruling.CANNOT_TELL
    shared = _part("resistor", resistance_ohm=100e3, rated_w=2, in_series=2)
    assert _judge(shared, 250).ruling is Ruling.MAY_STAY


def test_a_neon_shares_the_voltage_with_its_resistor() -> None:
    # 500 V − 60 V leaves 440 V on a ¼ W resistor good for 250 V; at 250 V it is 190 V.
    part = _part("neon", resistance_ohm=220e3, rated_w=0.25, working_v=250)
    assert _judge(part).ruling is Ruling.TAKE_OUT
    assert "440 V" in _judge(part).reason
    assert _judge(part, 250).ruling is Ruling.MAY_STAY


def test_a_winding_may_stay_but_hides_the_cable() -> None:
    judgement = _judge(_part("wound_transformer"))
    assert judgement.ruling is Ruling.MAY_STAY
    assert "0.00" in judgement.reason


@pytest.mark.parametrize("kind", ["unknown", "fixed_equipment", "load_module"])
def test_what_is_not_known_is_not_taken_as_safe(kind: str) -> None:
    assert _judge(_part(kind)).ruling is Ruling.TAKE_OUT


def test_a_load_module_sees_its_own_supplys_crest_at_250_v() -> None:
    # √2 · 253 V = 358 V is above 250 V.
    assert _judge(_part("load_module"), 250).ruling is Ruling.MAY_STAY


@pytest.mark.parametrize("kind", list(Kind))
def test_with_line_and_neutral_joined_a_load_across_them_may_stay(kind: Kind) -> None:
    # BS 7671 643.3.1: live conductors may be connected together for the test to earth.
    judgement = _judge(from_register(RegisterEntry(kind)), between=Between.LIVES_JOINED_EARTH)
    assert judgement.ruling is Ruling.MAY_STAY
    assert "joined" in judgement.reason


def test_electronics_beside_the_test_are_still_in_doubt() -> None:
    # With one live conductor floating a driver across line and neutral carries the voltage on to it.
    assert _judge(_part("driver"), between=Between.LINE_EARTH).ruling is Ruling.CANNOT_TELL


@pytest.mark.parametrize("kind", list(Kind))
@pytest.mark.parametrize("test_v", [250, 500, 1000])
def test_every_kind_has_a_ruling_with_reason_and_source(kind: Kind, test_v: float) -> None:
    judgement = _judge(from_register(RegisterEntry(kind)), test_v)
    assert judgement.reason.endswith(".")
    assert judgement.source


def test_what_must_come_out_leaves_out_what_may_stay() -> None:
    parts = [_part("driver"), _part("wound_transformer"), _part("resistor")]
    assert [j.part.kind for j in must_come_out(judge(parts, 500))] == [Kind.DRIVER, Kind.RESISTOR]
