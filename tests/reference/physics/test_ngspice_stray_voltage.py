"""Stray voltages and meter readings held to netlists in ngspice (small-signal, one frequency).

Each case is written twice: as values for our calculation, and by hand as a netlist with sources, capacitors
and resistors. Tolerance 0.1 %: both solve the same linear circuit, the simulator prints seven figures, and
0.1 % is far below the last digit of any meter. It shows that the arithmetic is right, not what a particular
cable does.
"""

import math
from dataclasses import dataclass

import pytest

from remedies.physics.meter_reading import MeterReading
from remedies.physics.source_from_readings import Verdict, judge
from remedies.physics.stray_voltage import Meter, Neighbour, source
from remedies.physics.three_readings import judge_three
from tests.reference.physics.ngspice_ac import simulate_ac

pytestmark = pytest.mark.ngspice

OPEN = 1e15  # for a netlist, which takes no infinity


@dataclass(frozen=True)
class Case:
    """Conductors as (volts, degrees, farads, leak ohms), what is to earth, and the meter."""

    name: str
    neighbours: tuple[tuple[float, float, float, float], ...]
    earth_f: float = 0.0
    earth_ohm: float = OPEN
    meter_ohm: float = 10e6
    meter_f: float = 0.0
    frequency_hz: float = 50.0

    def simulated(self) -> float:
        """The simulator's."""
        lines = []
        for index, (volts, degrees, farads, leak) in enumerate(self.neighbours):
            lines += [
                f"V{index} l{index} 0 AC {volts} {degrees}",
                f"C{index} l{index} n {farads}",
                f"R{index} l{index} n {leak}",
            ]
        lines += [
            f"Cearth n 0 {self.earth_f}",
            f"Rearth n 0 {self.earth_ohm}",
            f"Cmeter n 0 {self.meter_f}",
            f"Rmeter n 0 {self.meter_ohm}",
        ]
        return simulate_ac("\n".join(lines), self.frequency_hz, reading="mag(v(n))")["reading"]

    def reading(self) -> float:
        """Ours."""
        neighbours = [
            Neighbour(volts, farads, degrees, math.inf if leak == OPEN else leak)
            for volts, degrees, farads, leak in self.neighbours
        ]
        stray = source(
            neighbours,
            earth_capacitance_f=self.earth_f,
            earth_leak_ohm=math.inf if self.earth_ohm == OPEN else self.earth_ohm,
            frequency_hz=self.frequency_hz,
        )
        return stray.reading(Meter(self.meter_ohm, self.meter_f))


THREE_EQUAL = ((230, 0, 1e-9, OPEN), (230, -120, 1e-9, OPEN), (230, 120, 1e-9, OPEN))
CASES = [
    Case("5 m at 70 pF/m, 10 M and 100 pF", ((230, 0, 350e-12, OPEN),), meter_f=100e-12),
    Case("10 m, 10 M and 100 pF", ((230, 0, 700e-12, OPEN),), meter_f=100e-12),
    Case("20 m, 10 M and 100 pF", ((230, 0, 1.4e-9, OPEN),), meter_f=100e-12),
    Case("50 m, 10 M and 100 pF", ((230, 0, 3.5e-9, OPEN),), meter_f=100e-12),
    Case("20 m, 300 k", ((230, 0, 1.4e-9, OPEN),), meter_ohm=300e3),
    Case("50 m, 3 k", ((230, 0, 3.5e-9, OPEN),), meter_ohm=3e3),
    Case("as much to earth as to line", ((230, 0, 1e-9, OPEN),), earth_f=1e-9),
    Case("much to earth", ((230, 0, 0.2e-9, OPEN),), earth_f=5e-9, meter_ohm=100e3),
    Case("leak only", ((230, 0, 0, 2e6),), earth_ohm=5e6),
    Case("leak and coupling", ((230, 0, 0.5e-9, 3e6),), earth_f=0.3e-9, earth_ohm=8e6, meter_ohm=1e6),
    Case("damp to earth", ((230, 0, 2e-9, OPEN),), earth_ohm=470e3),
    Case("two phases", ((230, 0, 1e-9, OPEN), (230, -120, 0.6e-9, OPEN)), earth_f=0.2e-9),
    Case(
        "three unequal phases",
        ((230, 0, 1.2e-9, OPEN), (230, -120, 1e-9, OPEN), (230, 120, 0.9e-9, OPEN)),
    ),
    Case("60 Hz", ((120, 0, 1.4e-9, OPEN),), frequency_hz=60.0, meter_f=50e-12),
    Case("line and leak on another phase", ((230, 0, 1e-9, OPEN), (230, 120, 0, 4e6)), meter_ohm=300e3),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_reading_agrees_with_the_simulator(case: Case) -> None:
    assert case.reading() == pytest.approx(case.simulated(), rel=1e-3)


def test_three_equal_phases_nearly_cancel_in_the_simulator_and_here() -> None:
    # Exactly nothing in arithmetic; below a millivolt where the simulator rounds. Adding magnitudes gives
    # 200 V.
    case = Case("three equal phases", THREE_EQUAL, earth_f=0.2e-9)
    assert case.reading() < 1e-3
    assert case.simulated() < 1e-3


@pytest.mark.parametrize(
    ("coupling_f", "earth_f"), [(0.4e-9, 0.1e-9), (1e-9, 0.5e-9), (3e-9, 1e-9), (1.4e-9, 0.0), (0.6e-9, 3e-9)]
)
def test_two_simulated_readings_give_back_the_simulated_source(coupling_f: float, earth_f: float) -> None:
    neighbours = ((230.0, 0.0, coupling_f, OPEN),)
    high = Case("high", neighbours, earth_f=earth_f, meter_f=100e-12).simulated()
    low = Case("low", neighbours, earth_f=earth_f, meter_ohm=100e3).simulated()
    found = judge(
        MeterReading(high, Meter(10e6, 100e-12), gain_error=1e-4, digits=0),
        MeterReading(low, Meter(100e3), gain_error=1e-4, digits=0),
    )
    assert found.verdict is Verdict.COUPLED
    (answer,) = found.capacitive
    assert answer.coupling_f is not None
    # 0.1 % of current and open voltage: seven printed figures and a well-conditioned pair of meters.
    assert answer.coupling_f.typical == pytest.approx(coupling_f, rel=1e-3)
    open_v = 230 * coupling_f / (coupling_f + earth_f)
    assert answer.open_circuit_v.typical == pytest.approx(open_v, rel=1e-3)
    assert answer.capacitance_f.typical == pytest.approx(coupling_f + earth_f, rel=2e-3)


def test_a_mixed_source_lies_between_the_capacitive_and_the_resistive_answer() -> None:
    neighbours = ((230.0, 0.0, 0.8e-9, 4e6),)
    built = {"earth_f": 0.4e-9, "earth_ohm": 6e6}
    high = Case("high", neighbours, **built).simulated()
    low = Case("low", neighbours, meter_ohm=300e3, **built).simulated()
    unloaded = Case("open", neighbours, meter_ohm=OPEN, **built).simulated()
    found = judge(
        MeterReading(high, Meter(10e6), gain_error=0, digits=0),
        MeterReading(low, Meter(300e3), gain_error=0, digits=0),
    )
    answers = sorted(each.open_circuit_v.typical for each in found.capacitive + found.resistive)
    assert answers[0] < unloaded < answers[-1]
    # |Yth| of the built source: (1/4M + 1/6M) + jω·1.2 nF, by hand.
    own = math.hypot(1 / 4e6 + 1 / 6e6, 2 * math.pi * 50 * 1.2e-9)
    answers = sorted(each.admittance_s.typical for each in found.capacitive + found.resistive)
    assert answers[0] < own < answers[-1]


@pytest.mark.parametrize(
    ("farads", "leak"),
    [(1.5e-9, OPEN), (0.8e-9, 4e6), (0.2e-9, 1e6)],
    ids=["capacitive", "mixed", "resistive"],
)
def test_three_simulated_readings_give_back_a_mixed_source(farads: float, leak: float) -> None:
    meters = (Meter(10e6, 100e-12), Meter(1e6), Meter(200e3))
    read = [
        Case("m", ((230, 0, farads, leak),), meter_ohm=m.resistance_ohm, meter_f=m.capacitance_f).simulated()
        for m in meters
    ]
    first, second, third = (MeterReading(v, m, 1e-4, 0) for v, m in zip(read, meters, strict=True))
    found = judge_three((first, second, third))
    assert found.typical is not None
    # 1 %: the difference of nearly equal numbers costs two of the simulator's seven figures.
    assert found.typical.open_circuit_v == pytest.approx(230, rel=0.01)
    assert found.typical.capacitance_f == pytest.approx(farads, rel=0.01)
    assert found.typical.admittance_s.real == pytest.approx(1 / leak, rel=0.01, abs=1e-9)
