"""Readings back to the source: exact inverses, roots, error bars, and what readings cannot tell."""

import cmath
import itertools
import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from remedies.physics.checked import InputError
from remedies.physics.meter_reading import MeterReading
from remedies.physics.source_from_readings import Verdict, first_order_errors, judge
from remedies.physics.stray_voltage import Meter, Neighbour, Source, source

HIGH, LOW = Meter(10e6, 100e-12), Meter(300e3)


def _read(stray: Source, meter: Meter, error: float = 0.0) -> MeterReading:
    return MeterReading(stray.reading(meter), meter, gain_error=error, digits=0)


# --- exact inverses ---


@given(st.floats(0.1e-9, 10e-9), st.floats(0, 10e-9), st.sampled_from([3e3, 100e3, 300e3, 400e3]))
def test_two_readings_give_back_a_capacitive_source(coupling: float, earth: float, low_ohm: float) -> None:
    stray = source([Neighbour(230, coupling)], earth_capacitance_f=earth)
    found = judge(_read(stray, HIGH), _read(stray, Meter(low_ohm)))
    (answer,) = found.capacitive
    # The meters must load it differently; then only rounding is left, amplified by 1/|h1−h2|, here below 1e6.
    assert answer.open_circuit_v.typical == pytest.approx(stray.open_circuit_v, rel=1e-6)
    assert answer.capacitance_f.typical == pytest.approx(stray.capacitance_f, rel=1e-5)
    assert answer.short_circuit_a.typical == pytest.approx(stray.short_circuit_a, rel=1e-5)
    assert answer.coupling_f is not None
    assert answer.coupling_f.typical == pytest.approx(coupling, rel=1e-5)


@given(st.floats(20e3, 20e6), st.floats(200e3, 20e6))
def test_two_readings_give_back_a_resistive_source(leak: float, earth: float) -> None:
    stray = source([Neighbour(230, 0, leak_ohm=leak)], earth_leak_ohm=earth)
    found = judge(_read(stray, Meter(10e6)), _read(stray, LOW))
    (answer,) = found.resistive
    assert answer.open_circuit_v.typical == pytest.approx(230 * earth / (leak + earth), rel=1e-6)
    assert answer.resistance_ohm.typical == pytest.approx(leak * earth / (leak + earth), rel=1e-5)


def test_the_resistive_answer_is_the_closed_form() -> None:
    # G = (V2/R2 − V1/R1)/(V1 − V2), Voc = V1·(1 + 1/(R1·G)); by hand for 100 V on 10 MΩ and 8 V on 300 kΩ:
    # G = (26.67 − 10) µA / 92 V = 181.2 nS, R = 5.52 MΩ; Voc = 100·(1 + 1/1.812) = 155.2 V.
    (answer,) = judge(MeterReading(100, Meter(10e6)), MeterReading(8, LOW)).resistive
    assert answer.resistance_ohm.typical == pytest.approx(5.52e6, rel=1e-3)
    assert answer.open_circuit_v.typical == pytest.approx(155.2, rel=1e-3)


def test_the_order_of_the_two_readings_does_not_matter() -> None:
    high, low = MeterReading(100, HIGH), MeterReading(8, LOW)
    one, other = judge(high, low), judge(low, high)
    assert one.verdict is other.verdict
    assert one.open_circuit_v is not None
    assert other.open_circuit_v is not None
    assert one.open_circuit_v.high == pytest.approx(other.open_circuit_v.high)


@given(st.floats(0.2e-9, 5e-9), st.floats(0, 5e-9), st.floats(0.5e6, 50e6), st.floats(0.5e6, 50e6))
def test_a_mixed_source_lies_between_the_two_answers(
    coupling: float, earth: float, leak: float, earth_leak: float
) -> None:
    stray = source(
        [Neighbour(230, coupling, leak_ohm=leak)], earth_capacitance_f=earth, earth_leak_ohm=earth_leak
    )
    found = judge(_read(stray, Meter(10e6)), _read(stray, LOW))
    assume(found.open_circuit_v is not None and len(found.capacitive) == len(found.resistive) == 1)
    capacitive, resistive = found.capacitive[0], found.resistive[0]
    for seen, true in (
        ((capacitive.open_circuit_v, resistive.open_circuit_v), stray.open_circuit_v),
        ((capacitive.admittance_s, resistive.admittance_s), abs(stray.admittance_s)),
    ):
        ends = sorted(span.typical for span in seen)
        assert ends[0] * (1 - 1e-6) <= true <= ends[1] * (1 + 1e-6)


# --- roots ---


@given(st.floats(1, 200), st.floats(1, 200), st.floats(20e3, 1e6), st.floats(2e6, 20e6))
def test_resistive_meters_give_one_answer_exactly_when_the_readings_allow_it(
    v1: float, v2: float, r2: float, r1: float
) -> None:
    # R1 > R2: one root if and only if V1 > V2 and V1/R1 < V2/R2.
    assume(not math.isclose(v1, v2, rel_tol=1e-6) and not math.isclose(v1 / r1, v2 / r2, rel_tol=1e-6))
    found = judge(MeterReading(v1, Meter(r1), 0, 0), MeterReading(v2, Meter(r2), 0, 0))
    assert len(found.capacitive) == (1 if v1 > v2 and v1 / r1 < v2 / r2 else 0)


def test_two_coupled_sources_that_give_the_same_readings_are_both_reported() -> None:
    # A meter of large capacitance loads a small source more, a resistive one a large source: the ratio of the
    # readings turns round in between, so one pair of readings has two answers.
    stray = source([Neighbour(230, 0.4e-9)])
    heavy_c, heavy_r = Meter(10e6, 1.5e-9), Meter(1.8e6)
    found = judge(_read(stray, heavy_c), _read(stray, heavy_r))
    assert len(found.capacitive) == 2
    for answer in found.capacitive:
        capacitance = answer.capacitance_f.typical
        for meter in (heavy_c, heavy_r):
            again = Source(answer.short_circuit_a.typical, 2j * math.pi * 50 * capacitance)
            assert again.reading(meter) == pytest.approx(stray.reading(meter), rel=1e-9)
    assert any("Two coupled sources" in warning for warning in found.warnings)


@pytest.mark.parametrize(
    ("v1", "v2"),
    [(10, 40), (100, 0.01), (5, 200)],
    ids=["more on the heavier meter", "less than any source gives", "far more on the heavier"],
)
def test_readings_of_no_passive_source_are_called_so(v1: float, v2: float) -> None:
    found = judge(MeterReading(v1, Meter(10e6), 0.01, 0), MeterReading(v2, LOW, 0.01, 0))
    assert found.verdict is Verdict.IMPOSSIBLE
    assert "cannot come from one passive source" in found.text
    assert found.capacitive == found.resistive == ()


# --- verdicts ---


def test_the_usual_pair_of_readings_is_a_coupled_voltage_with_a_length_of_run() -> None:
    found = judge(MeterReading(100, HIGH), MeterReading(8, LOW))
    assert found.verdict is Verdict.COUPLED
    (answer,) = found.capacitive
    # 26.7 µA by hand: 8 V / 300 kΩ, the low-impedance input nearly a short circuit here.
    assert answer.short_circuit_a.typical == pytest.approx(8 / 300e3, rel=0.01)
    assert answer.metres is not None
    assert answer.coupling_f is not None
    # 370 pF at 150 and 50 pF/m: 2.5 m to 7.4 m before the meters' accuracy.
    assert answer.metres.low < 370 / 150 < answer.metres.typical < 370 / 50 < answer.metres.high
    assert "no proof of isolation" in found.text


@pytest.mark.parametrize(
    ("v1", "v2", "meter"),
    [(230, 228, LOW), (228, 230, LOW), (230, 225, Meter(3e3)), (60, 55, Meter(3e3)), (400, 396, LOW)],
)
def test_a_voltage_that_holds_up_under_load_is_treated_as_live(v1: float, v2: float, meter: Meter) -> None:
    found = judge(MeterReading(v1, HIGH), MeterReading(v2, meter))
    assert found.verdict is Verdict.STIFF
    assert "treat the conductor as live" in found.text.lower()
    with pytest.raises(InputError, match="none is calculated"):
        _ = found.sources


@given(st.floats(1, 50e3), st.floats(100, 250))
def test_a_conductor_fed_through_a_few_kilohms_is_never_called_coupled(ohm: float, volts: float) -> None:
    live = source([Neighbour(volts, 0, leak_ohm=ohm)])
    found = judge(_read(live, HIGH, 0.02), _read(live, Meter(3e3), 0.02), supply_v=230)
    assert found.verdict in (Verdict.STIFF, Verdict.UNDECIDED)


def test_two_nearly_equal_inputs_decide_nothing() -> None:
    found = judge(MeterReading(200, Meter(10e6)), MeterReading(198, Meter(9e6)))
    assert found.verdict is Verdict.UNDECIDED
    assert "treat it as live" in found.text.lower()
    assert any("nearly alike" in warning for warning in found.warnings)


def test_two_heavy_inputs_know_the_current_but_not_the_voltage() -> None:
    stray = source([Neighbour(230, 1.4e-9)])
    found = judge(_read(stray, Meter(20e3), 0.02), _read(stray, Meter(3e3), 0.02))
    (answer,) = found.capacitive
    assert answer.open_circuit_v.high == math.inf
    assert stray.short_circuit_a in answer.short_circuit_a
    assert answer.short_circuit_a.high / answer.short_circuit_a.low < 1.1
    assert any("open voltage" in warning for warning in answer.warnings)
    assert not any("current available" in warning for warning in answer.warnings)


def test_two_light_inputs_know_the_voltage_but_not_the_current() -> None:
    stray = source([Neighbour(230, 10e-9)])
    found = judge(_read(stray, Meter(10e6), 0.02), _read(stray, Meter(2e6), 0.02))
    (answer,) = found.capacitive
    assert stray.open_circuit_v in answer.open_circuit_v
    assert answer.open_circuit_v.high / answer.open_circuit_v.low < 1.1
    assert answer.short_circuit_a.high == math.inf
    assert any("current available" in warning for warning in answer.warnings)


def test_next_to_nothing_on_both_meters_is_no_proof_of_isolation() -> None:
    found = judge(MeterReading(0.3, HIGH), MeterReading(0, LOW))
    assert found.verdict is Verdict.NOTHING
    assert "no proof of isolation" in found.text


def test_a_zero_on_the_low_impedance_input_still_bounds_the_current() -> None:
    found = judge(MeterReading(200, HIGH), MeterReading(0, Meter(3e3)))
    assert found.verdict is Verdict.COUPLED
    assert found.short_circuit_a is not None
    # 0 ± 0.5 V (5 digits of 0.1 V) on 3 kΩ: at most 0.17 mA; at least 200 V less 2 % and 0.5 V through the
    # meter.
    assert found.short_circuit_a.high == pytest.approx(0.5 / 3e3, rel=0.01)
    assert found.short_circuit_a.low >= 195 * abs(HIGH.admittance(50))


def test_more_than_the_supply_voltage_points_to_another_phase() -> None:
    stray = source([Neighbour(400, 1e-9)])
    found = judge(_read(stray, HIGH, 0.01), _read(stray, LOW, 0.01))
    assert any("another phase" in warning for warning in found.warnings)


def test_a_current_that_can_be_felt_is_warned_of() -> None:
    # 10 nF at 230 V: 0.72 mA, above the 0.5 mA of BS EN 61140.
    stray = source([Neighbour(230, 10e-9)])
    found = judge(_read(stray, HIGH, 0.01), _read(stray, Meter(100e3), 0.01))
    assert found.verdict is Verdict.COUPLED
    assert any("can be felt" in warning for warning in found.warnings)


METERS = (
    HIGH,
    Meter(10e6),
    Meter(1e6),
    LOW,
    Meter(100e3),
    Meter(3e3),
    Meter(400e3, 100e-12),
    Meter(10e6, 1e-9),
)


@settings(max_examples=400)
@given(
    st.floats(20, 250),
    st.floats(-9, -2),
    st.floats(0, 90),
    st.permutations(METERS),
    st.sampled_from([0.0, 0.005, 0.02, 0.05]),
    st.tuples(st.floats(-1, 1), st.floats(-1, 1)),
)
def test_any_passive_source_lies_in_the_range_and_one_with_current_behind_it_is_never_called_coupled(
    volts: float,
    decade: float,
    degrees: float,
    meters: list[Meter],
    error: float,
    off: tuple[float, float],
) -> None:
    own = cmath.rect(10**decade, math.radians(degrees))
    stray = Source(volts * abs(own), own)
    readings = [
        MeterReading(stray.reading(meter) / (1 + share * error), meter, error, 0)
        for meter, share in zip(meters[:2], off, strict=True)
    ]
    found = judge(readings[0], readings[1])
    assert found.verdict is not Verdict.IMPOSSIBLE
    # 150 pF/m over 100 m at 230 V and 50 Hz: 1.08 mA, the most that is taken as coupling.
    if stray.short_circuit_a > 1.09e-3:
        assert found.verdict in (Verdict.STIFF, Verdict.UNDECIDED, Verdict.NOTHING)
    if found.open_circuit_v and found.admittance_s and found.short_circuit_a:
        # 0.3 %: mixed sources are looked at every 10° of their angle, and the extreme may lie between two.
        for span, true in (
            (found.open_circuit_v, volts),
            (found.admittance_s, abs(own)),
            (found.short_circuit_a, stray.short_circuit_a),
        ):
            assert span.low * 0.997 <= true <= span.high * 1.003


# --- error bars ---


@given(st.floats(0.3e-9, 8e-9), st.floats(0, 3e-9), st.tuples(st.floats(-1, 1), st.floats(-1, 1)))
def test_the_true_source_lies_in_the_range_whatever_the_meters_are_off_by(
    coupling: float, earth: float, off: tuple[float, float]
) -> None:
    error = 0.02
    stray = source([Neighbour(230, coupling)], earth_capacitance_f=earth)
    # Reading r with true value t: |r − t| ≤ ε·r, so t = r·(1 ± ε).
    readings = [
        MeterReading(stray.reading(meter) / (1 + share * error), meter, error, 0)
        for meter, share in zip((HIGH, Meter(100e3)), off, strict=True)
    ]
    found = judge(readings[0], readings[1])
    (answer,) = found.capacitive
    slack = 1e-9
    for span, true in (
        (answer.open_circuit_v, stray.open_circuit_v),
        (answer.capacitance_f, stray.capacitance_f),
        (answer.short_circuit_a, stray.short_circuit_a),
    ):
        assert span.low * (1 - slack) <= true <= span.high * (1 + slack)


@given(st.floats(0.3e-9, 8e-9), st.sampled_from([50e3, 100e3, 300e3]))
def test_small_errors_follow_the_first_order_formulas(coupling: float, ohm: float) -> None:
    # h = 1 − C(C+Cm)/((C+Cm)² + g²) with g = 1/(ωR), written out here from the definition.
    stray = source([Neighbour(230, coupling)])
    low = Meter(ohm)

    def h(meter: Meter) -> float:
        with_meter = coupling + meter.capacitance_f
        g = 1 / (2 * math.pi * 50 * meter.resistance_ohm)
        return 1 - coupling * with_meter / (with_meter**2 + g**2)

    h1, h2 = h(HIGH), h(low)
    error = 1e-5
    (answer,) = judge(_read(stray, HIGH, error), _read(stray, low, error)).capacitive
    apart = abs(h1 - h2)
    for span, expected in (
        (answer.capacitance_f, 2 * error / apart),
        (answer.open_circuit_v, error * (abs(h1) + abs(h2)) / apart),
        (answer.short_circuit_a, error * (abs(1 - h1) + abs(1 - h2)) / apart),
    ):
        half_width = (span.high - span.low) / 2 / span.typical
        # 2 %: second-order terms and the rounding of differences of 1e-5.
        assert half_width == pytest.approx(expected, rel=0.02, abs=1e-9)


def test_first_order_errors_of_extreme_pairs() -> None:
    # One meter that does not load and one that swamps: C from both, Voc from the first, Isc from the second.
    errors = first_order_errors((0, 1), 0.01, 0.02)
    assert (errors.admittance, errors.volts, errors.current) == pytest.approx((0.03, 0.01, 0.02))
    alike = first_order_errors((0.5, 0.5), 0.01, 0.01)
    assert (alike.admittance, alike.volts, alike.current) == (math.inf, math.inf, math.inf)


def test_accuracy_is_gain_and_digits() -> None:
    # ±(1 % + 3 digits) of 100.0 V: ±1.3 V.
    reading = MeterReading(100, HIGH, gain_error=0.01, digits=3, resolution_v=0.1)
    assert (reading.lowest_v, reading.highest_v) == pytest.approx((98.7, 101.3))
    assert reading.relative_error == pytest.approx(0.013)


@pytest.mark.parametrize(
    ("build", "says"),
    [
        (lambda: MeterReading(-1, HIGH), "Give the volts shown"),
        (lambda: MeterReading(10e3, HIGH), "meter reading: 10 kV"),
        (lambda: MeterReading(100, HIGH, gain_error=2), "0.02 for ±2 %"),
        (lambda: MeterReading(100, HIGH, resolution_v=-1), "meter resolution"),
        (lambda: judge(MeterReading(100, HIGH), MeterReading(8, LOW), supply_v=0), "supply voltage"),
        (lambda: judge(MeterReading(100, HIGH), MeterReading(8, LOW), frequency_hz=500), "Give 50 or 60"),
    ],
)
def test_nonsense_is_refused_with_what_to_type_instead(build, says: str) -> None:
    with pytest.raises(InputError) as raised:
        build()
    assert says in str(raised.value)


def test_every_exact_answer_reproduces_the_readings() -> None:
    for v1, v2 in itertools.product((50, 100, 180), (2, 8, 30)):
        found = judge(MeterReading(v1, HIGH), MeterReading(v2, LOW))
        for answer in found.capacitive + found.resistive:
            again = answer.points[0]
            assert again.reading(HIGH) == pytest.approx(v1, rel=1e-9)
            assert again.reading(LOW) == pytest.approx(v2, rel=1e-9)
            assert len(answer.working) >= 4
