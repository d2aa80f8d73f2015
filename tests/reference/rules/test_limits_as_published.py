"""Limits that stand alone, against published figures copied here by hand. Source beside each."""

from dataclasses import replace
from decimal import Decimal

import pytest

from inspections.rules import insulation, loop, rcd
from inspections.rules.devices import device
from inspections.rules.edition import load
from inspections.rules.facts import CircuitFacts, Earthing, Serves, SupplyFacts

BOTH = pytest.mark.parametrize("key", ["bs7671_2018_a2_2022", "iec60364_6_2016"])
TN = SupplyFacts(Earthing.TN_S, u0_v=Decimal(230))
TT = SupplyFacts(Earthing.TT, u0_v=Decimal(230))


def bs7671():
    return load("bs7671_2018_a2_2022")


# BS 7671 Table 64, IEC 60364-6:2016 Table 6.1.
@BOTH
@pytest.mark.parametrize(
    ("circuit", "test_v", "minimum"),
    [
        (CircuitFacts(is_selv_or_pelv=True), "250", "0.5"),
        (CircuitFacts(nominal_voltage_v=Decimal(12)), "500", "1.0"),  # FELV counts with the low voltages
        (CircuitFacts(nominal_voltage_v=Decimal(230)), "500", "1.0"),
        (CircuitFacts(nominal_voltage_v=Decimal(500)), "500", "1.0"),
        (CircuitFacts(nominal_voltage_v=Decimal(501)), "1000", "1.0"),
        (CircuitFacts(nominal_voltage_v=Decimal(1000)), "1000", "1.0"),
    ],
)
def test_insulation_test_voltage_and_minimum(key, circuit, test_v, minimum):
    row = insulation.required(circuit, TN, load(key))
    assert (row.test_voltage_v, row.minimum_mohm) == (Decimal(test_v), Decimal(minimum))


@BOTH
def test_with_equipment_connected_250_v_and_still_1_megohm(key):
    """BS 7671 643.3.2, IEC 60364-6 6.4.3.3."""
    limits = load(key).insulation
    assert (limits.connected_test_voltage_v.number, limits.connected_minimum_mohm.number) == (250, 1)


def test_under_2_megohm_is_to_be_looked_into():
    """IET Guidance Note 3."""
    assert bs7671().insulation.look_into_mohm.number == 2


# BS 7671 Table 41.1 and IEC 60364-4-41 Table 41.1, alternating current; 411.3.2.3 and .4 for the rest.
@BOTH
@pytest.mark.parametrize(
    ("u0_v", "tn", "tt"),
    [
        (51, "0.8", "0.3"), (120, "0.8", "0.3"), (121, "0.4", "0.2"), (230, "0.4", "0.2"),
        (231, "0.2", "0.07"), (400, "0.2", "0.07"), (401, "0.1", "0.04"), (690, "0.1", "0.04"),
    ],
)  # fmt: skip
def test_disconnection_times_of_final_circuits(key, u0_v, tn, tt):
    circuit = CircuitFacts(device_rating_a=Decimal(32))
    for supply, printed in ((TN, tn), (TT, tt)):
        time = loop.disconnection_time(circuit, replace(supply, u0_v=Decimal(u0_v)), load(key))
        assert time.s == Decimal(printed)


@BOTH
def test_no_disconnection_time_up_to_50_v(key):
    circuit = CircuitFacts(device_rating_a=Decimal(32))
    it = loop.disconnection_time(circuit, replace(TN, u0_v=Decimal(50)), load(key))
    assert isinstance(it, loop.CannotTell)


@BOTH
@pytest.mark.parametrize(
    ("serves", "rating", "is_final"),
    [
        (Serves.SOCKET_OUTLETS, 63, True), (Serves.SOCKET_OUTLETS, 64, False),
        (Serves.FIXED_EQUIPMENT, 32, True), (Serves.FIXED_EQUIPMENT, 33, False),
        (Serves.DISTRIBUTION, 6, False),
    ],
)  # fmt: skip
def test_which_circuits_have_the_times_of_final_circuits(key, serves, rating, is_final):
    """411.3.2.2: sockets up to 63 A, fixed equipment up to 32 A; others 5 s (TN), 1 s (TT)."""
    circuit = CircuitFacts(serves=serves, device_rating_a=Decimal(rating))
    times = [loop.disconnection_time(circuit, supply, load(key)).s for supply in (TN, TT)]
    assert times == ([Decimal("0.4"), Decimal("0.2")] if is_final else [Decimal(5), Decimal(1)])


@BOTH
def test_touch_voltage(key):
    """411.5.3: 50 V."""
    assert load(key).loop.touch_voltage_v.number == 50


def test_an_electrode_above_200_ohm_may_be_unstable():
    """BS 7671 Table 41.5, note (value from memory)."""
    value = bs7671().loop.unstable_above_ohm
    assert (value.number, value.source.from_memory) == (200, True)


# IEC 61008-1 Table 1; BS 4293 and BS 7288:1990 from memory.
@pytest.mark.parametrize(
    ("standard", "rcd_type", "multiple", "least", "most"),
    [
        ("61008", "A", 1, None, 300), ("61008", "AC", 2, None, 150), ("61009", "A", 5, None, 40),
        ("61008", "S", 1, 130, 500), ("61008", "A S", 2, 60, 200), ("61008", "AC/S", 5, 50, 150),
        ("BS 4293", "", 1, None, 200), ("BS 7288", "", 1, None, 200), ("", "", 1, None, 300),
    ],
)  # fmt: skip
def test_rcd_operating_times(standard, rcd_type, multiple, least, most):
    circuit = CircuitFacts(rcd_standard=standard, rcd_type=rcd_type)
    time = rcd.time_limit(circuit, bs7671(), Decimal(multiple))
    assert (time.min_ms, time.max_ms) == (least, most)


@pytest.mark.parametrize(
    ("rcd_type", "multiple", "least", "most"), [("A", 1, None, 300), ("A", 5, None, 40), ("S", 1, 130, 500)]
)
def test_rcd_operating_times_of_the_iec_edition(rcd_type, multiple, least, most):
    time = rcd.time_limit(CircuitFacts(rcd_type=rcd_type), load("iec60364_6_2016"), Decimal(multiple))
    assert (time.min_ms, time.max_ms) == (least, most)


def test_standing_leakage_may_take_30_percent():
    """BS 7671 531.3.2."""
    assert bs7671().rcd.standing_fraction.number == Decimal("0.3")


def test_line_and_neutral_of_a_ring_read_alike_within_0_05_ohm():
    """IET Guidance Note 3."""
    assert bs7671().ring_line_neutral_within_ohm.number == Decimal("0.05")


def test_three_phase_fault_current_is_taken_as_twice_one_phase():
    """IET Guidance Note 3, 2.7.16."""
    assert bs7671().fault_current.three_phase_factor.number == 2


# BS 3871, BS 3036 and BS 1361 as printed; BS 88-3 and BS 1362 from memory.
@pytest.mark.parametrize(
    ("standard", "device_type", "ka"),
    [
        ("3871", "M1", "1"), ("3871", "M1.5", "1.5"), ("3871", "M3", "3"), ("3871", "M4.5", "4.5"),
        ("3871", "M6", "6"), ("3871", "M9", "9"), ("3036", "S1A", "1"), ("3036", "S2A", "2"),
        ("3036", "S4A", "4"), ("1361", "I", "16.5"), ("1361", "II", "33"), ("88-3", "I", "16"),
        ("88-3", "II", "31.5"),
    ],
)  # fmt: skip
def test_breaking_capacity_by_standard_and_type(standard, device_type, ka):
    known = device(bs7671(), standard, device_type).standard.breaking_capacity_ka
    assert known[device_type] == Decimal(ka)


def test_breaking_capacity_of_plug_fuses():
    """BS 1362: 6 kA (value from memory)."""
    assert device(bs7671(), "1362", "").standard.rated_breaking_capacity_ka == 6


def test_voltage_drop_limits():
    """BS 7671 Appendix 4: lighting 3 %, other uses 5 % (value from memory)."""
    limits = bs7671().voltage_drop
    assert (limits.lighting_percent.number, limits.other_percent.number) == (3, 5)


@BOTH
def test_a_breaker_that_trips_at_once_does_so_within_0_1_s(key):
    """BS 7671 Appendix 3 and IEC 60898-1, time/current characteristics (value from memory)."""
    assert load(key).loop.instantaneous_s.number == Decimal("0.1")


def test_fuse_tables_are_printed_for_230_v():
    """BS 7671 Tables 41.2 and 41.4, heading."""
    assert {table.u0_v for kind in bs7671().devices for table in kind.tables} == {230}
