"""Stray voltages by hand, against reference tables, and as laws that must hold."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remedies.physics.checked import InputError
from remedies.physics.stray_voltage import Meter, Neighbour, Source, admittance, source

METRE_F = 70e-12  # 69 pF/m was measured on flat cable: R. Duffy, The Capacitance Connection


def _run(metres: float) -> Source:
    return source([Neighbour(230, metres * METRE_F)])


# Derived independently of this program, from I = ωCU and the voltage divider of coupling and load: a run at
# 70 pF/m, 230 V, 50 Hz, nothing to neutral. Columns: short-circuit µA, then volts on 10 MΩ with 100 pF, on
# 300 kΩ, 47 nF, 0.1 µF, 0.22 µF, 47 kΩ, 100 kΩ. Figures were rounded to what is written, hence the tolerance
# of half their last place and a little over.
TABLE = [
    (5, 25, 146, 7.6, 1.7, 0.80, 0.37, 1.2, 2.5),
    (10, 51, 187, 15, 3.4, 1.6, 0.73, 2.4, 5.1),
    (20, 101, 210, 30, 6.7, 3.2, 1.45, 4.8, 10),
    (50, 253, 223, 72, 15.9, 7.8, 3.6, 11.9, 25),
]
LOADS = (
    Meter(10e6, 100e-12).admittance(50),
    admittance(300e3, 0),
    admittance(math.inf, 47e-9),
    admittance(math.inf, 0.1e-6),
    admittance(math.inf, 0.22e-6),
    admittance(47e3, 0),
    admittance(100e3, 0),
)


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row[0]} m")
def test_runs_of_cable_against_the_derived_table(row: tuple[float, ...]) -> None:
    metres, microamps, *volts = row
    stray = _run(metres)
    assert stray.short_circuit_a * 1e6 == pytest.approx(microamps, abs=0.55)
    for load, expected in zip(LOADS, volts, strict=True):
        assert stray.volts(load) == pytest.approx(expected, rel=0.04)


@pytest.mark.parametrize(
    ("microfarad", "kilohm", "milliamp"),
    [
        (0.01, 318, 0.72),
        (0.022, 145, 1.59),
        (0.047, 67.7, 3.40),
        (0.1, 31.8, 7.23),
        (0.22, 14.5, 15.9),
        (0.33, 9.65, 23.8),
        (0.47, 6.77, 34.0),
    ],
)
def test_reactance_and_current_at_50_hz(microfarad: float, kilohm: float, milliamp: float) -> None:
    # X = 1/(2πfC) and I = 230/X; 0.33 µF at 9.646 kΩ and about 24 mA is a published check. Three figures.
    siemens = abs(admittance(math.inf, microfarad * 1e-6))
    assert 1 / siemens / 1e3 == pytest.approx(kilohm, rel=5e-3)
    assert 230 * siemens * 1e3 == pytest.approx(milliamp, rel=5e-3)


def test_ten_picofarads_at_220_v_pass_about_a_microampere_crest() -> None:
    # A published check: 10 pF, 220 V, 50 Hz pass 0.98 µA crest, about 10 V crest on 10 MΩ.
    stray = source([Neighbour(220, 10e-12)])
    assert stray.short_circuit_a * math.sqrt(2) == pytest.approx(0.98e-6, rel=0.01)
    assert stray.reading(Meter(10e6)) * math.sqrt(2) == pytest.approx(9.8, rel=0.01)


def test_length_of_a_run_from_its_capacitance() -> None:
    # R. Duffy, The Capacitance Connection: 21 pF/ft, so 158 pF is 7.5 ft. Ours: the current that 7.5 ft
    # passes.
    stray = source([Neighbour(230, 7.5 * 21e-12)])
    assert stray.capacitance_f == pytest.approx(158e-12, rel=5e-3)


def test_a_high_impedance_meter_shows_about_100_v_where_a_low_impedance_input_shows_about_8() -> None:
    # Common practice, no source: the pair of readings that gives a coupled voltage away. 5.2 m at 70 pF/m
    # with 320 pF to neutral, by hand: Isc = 314.16·364 pF·230 V = 26.3 µA; ·300 kΩ ≈ 7.9 V; own ωC 215 nS
    # with 100 nS and 31 nS of the meter: 26.3 / |100 + j246| nS = 99 V.
    stray = source([Neighbour(230, 364e-12)], earth_capacitance_f=320e-12)
    assert stray.reading(Meter(10e6, 100e-12)) == pytest.approx(99, rel=0.02)
    assert stray.reading(Meter(300e3)) == pytest.approx(7.9, rel=0.02)


def test_the_open_voltage_is_the_divider_of_the_two_capacitances() -> None:
    # 1 nF to line and 1 nF to neutral: half of 230 V. A meter sees 2 nF, not 1.
    stray = source([Neighbour(230, 1e-9)], earth_capacitance_f=1e-9)
    assert stray.open_circuit_v == pytest.approx(115)
    assert stray.capacitance_f == pytest.approx(2e-9)


def test_three_equal_phases_cancel_where_magnitudes_would_add() -> None:
    phases = [Neighbour(230, 1e-9, degrees) for degrees in (0, -120, 120)]
    assert source(phases).open_circuit_v == pytest.approx(0, abs=1e-9)


def test_two_phases_of_equal_coupling_leave_half_of_one() -> None:
    # (1 + 1∠−120°)/2 = 0.5∠−60°, so 115 V.
    assert source([Neighbour(230, 1e-9), Neighbour(230, 1e-9, -120)]).open_circuit_v == pytest.approx(115)


def test_a_source_without_admittance_of_its_own_has_no_open_voltage_to_give() -> None:
    constant = Source(25e-6, 0)
    assert constant.open_circuit_v == math.inf
    assert constant.volts(complex(1 / 300e3)) == pytest.approx(7.5)


SOURCES = st.builds(
    lambda volts, coupling, leak, earth: source(
        [Neighbour(volts, coupling, leak_ohm=leak)], earth_capacitance_f=earth
    ),
    st.floats(100, 400),
    st.floats(10e-12, 20e-9),
    st.floats(1e5, 1e12),
    st.floats(0, 20e-9),
)


@given(SOURCES, st.floats(1e-10, 1e-6), st.floats(1.0, 100.0))
def test_more_capacitance_never_raises_the_lamp_voltage(stray: Source, farads: float, factor: float) -> None:
    less, more = admittance(math.inf, farads), admittance(math.inf, farads * factor)
    assert stray.volts(more) <= stray.volts(less) * (1 + 1e-12)


@given(SOURCES, st.floats(1e3, 1e8), st.floats(1.0, 100.0))
def test_less_resistance_never_raises_the_lamp_voltage(stray: Source, ohm: float, factor: float) -> None:
    assert stray.volts(admittance(ohm, 0)) <= stray.volts(admittance(ohm * factor, 0)) * (1 + 1e-12)


@given(SOURCES, st.floats(1e3, 1e9), st.floats(0, 1e-9))
def test_no_meter_shows_more_than_the_open_voltage(stray: Source, ohm: float, farads: float) -> None:
    assert stray.reading(Meter(ohm, farads)) <= stray.open_circuit_v * (1 + 1e-12)


@given(st.floats(10e-12, 20e-9), st.floats(1e3, 1e8), st.floats(1.1, 4.0))
def test_readings_go_in_proportion_to_the_voltage_of_the_neighbour(
    farads: float, ohm: float, factor: float
) -> None:
    one, other = (source([Neighbour(volts, farads)]).reading(Meter(ohm)) for volts in (100, 100 * factor))
    assert other == pytest.approx(one * factor)


@pytest.mark.parametrize(
    ("build", "says"),
    [
        (lambda: Neighbour(10e3, 1e-9), "supply voltage: 10 kV is outside 20 V to 1 kV"),
        (lambda: Neighbour(-230, 1e-9), "supply voltage: -230 V"),
        (lambda: Neighbour(0, 1e-9), "supply voltage: 0 V"),
        (lambda: Neighbour(230, -1e-9), "coupling capacitance"),
        (lambda: Neighbour(230, 70), "Give the capacitance in farads"),
        (lambda: Neighbour(230, 1e-9, degrees=math.nan), "phase angle"),
        (lambda: Neighbour(230, 1e-9, leak_ohm=0), "leak to the energised conductor"),
        (lambda: Meter(0), "Give the input resistance in ohms"),
        (lambda: Meter(10), "10e6 for 10 MΩ"),
        (lambda: Meter(10e6, -1e-12), "meter input capacitance"),
        (lambda: Meter(10e6, 100), "100e-12 for 100 pF"),
        (lambda: source([]), "Give at least one"),
        (lambda: source([Neighbour(230, 0)]), "all capacitances and leaks are zero"),
        (lambda: source([Neighbour(230, 1e-9)], frequency_hz=0), "Give 50 or 60"),
        (lambda: source([Neighbour(230, 1e-9)], earth_capacitance_f=-1), "capacitance to earth"),
    ],
)
def test_nonsense_is_refused_with_what_to_type_instead(build, says: str) -> None:
    with pytest.raises(InputError) as raised:
        build()
    assert says in str(raised.value)
