"""Expected readings held to netlists in ngspice.

Each case is written twice: as parts for our calculation, and by hand as a netlist. The tester is a source
that gives its limiting current until the terminals are at its nominal voltage, raised from zero; a neon is a
switch with hysteresis; a varistor a power law; electronics a near-ideal diode with a capacitor and a
resistor behind it. The simulator solves the same models, so this shows that the arithmetic is right, not
what a lamp or tester does.
"""

from dataclasses import dataclass

import pytest

from remedies.physics.charge import time_to_charge, time_to_discharge
from remedies.physics.insulation_test import expected_reading
from remedies.physics.parts import (
    Connection,
    Electronics,
    Kind,
    LoadModule,
    Neon,
    Part,
    RcNetwork,
    Resistor,
    SuppressionCapacitor,
    SurgeProtection,
    Varistor,
    WoundTransformer,
)
from remedies.physics.quantity import Span
from remedies.physics.tester import Tester
from tests.reference.physics.ngspice import simulate

pytestmark = pytest.mark.ngspice

TOLERANCE = 0.002  # the simulator's own: its relative tolerance of 1e-4, switch and diode resistances

_ELEMENTS = """
.subckt neon a b rs=220k vst=90 vm=70
S1 a c a b lamp
R1 c d {rs}
V1 d b {vm}
.model lamp sw(vt={(vst+vm)/2} vh={(vst-vm)/2} ron=1 roff=1e13)
.ends
.subckt varistor a b v1=430 alpha=30
B1 a b i = 1m*pow(max(v(a,b),1u)/{v1}, {alpha})
.ends
.subckt electronics a b rb=300k cr=10n
V1 a c 1.2
D1 c d rect
R1 d b {rb}
C1 d b {cr}
.model rect d(n=0.001 is=1n rs=0.01)
.ends
"""


def settled(elements: str, nominal_v: float, limit_a: float, seconds: float = 4.0) -> tuple[float, float]:
    """Terminal voltage [V] and reading [MΩ] at the end of a slow rise to the nominal voltage."""
    measured = simulate(
        f"""insulation tester
{_ELEMENTS}
Vset set 0 pwl(0 0 {seconds / 2} {nominal_v})
Btest 0 s i = max(min({limit_a}, v(set,s)), -{limit_a})
Vsense s t 0
Cstray t 0 1p
{elements}
.options reltol=1e-4 abstol=1e-13 method=gear
.tran {seconds / 4000} {seconds} uic
.meas tran volts find v(t) at={seconds * 0.999}
.meas tran amps find i(Vsense) at={seconds * 0.999}
.end
"""
    )
    return measured["volts"], measured["volts"] / measured["amps"] * 1e-6


def exact(value: float) -> Span:
    return Span.exact(value)


def neon(ohm: float, strike: float = 90, maintain: float = 70, count: int = 1) -> Neon:
    return Neon(series_ohm=exact(ohm), strike_v=exact(strike), maintain_v=exact(maintain), count=count)


def resistor(ohm: float, count: int = 1, in_series: int = 1) -> Resistor:
    return Resistor(resistance_ohm=exact(ohm), count=count, in_series=in_series)


def varistor(volts: float = 430, exponent: float = 30, count: int = 1) -> SurgeProtection:
    return SurgeProtection(continuous_v=275, law=Varistor(exact(volts), exact(exponent)), count=count)


def driver(ohm: float = 300e3, farads: float = 10e-9, count: int = 1) -> Electronics:
    return Electronics(kind=Kind.DRIVER, bleed_ohm=exact(ohm), reservoir_f=exact(farads), count=count)


@dataclass(frozen=True)
class Case:
    name: str
    parts: tuple[Part, ...]
    netlist: str
    cable_mohm: float = 200.0
    nominal_v: float = 500.0
    limit_a: float = 0.001


CASES = [
    Case("cable alone", (), "Rc t 0 200meg"),
    Case("one resistor", (resistor(1e6),), "Rc t 0 200meg\nR1 t 0 1meg"),
    Case("resistor at the limit", (resistor(47e3),), "Rc t 0 200meg\nR1 t 0 47k"),
    Case(
        "three in series",
        (resistor(220e3, in_series=3),),
        "Rc t 0 200meg\nR1 t 1 220k\nR2 1 2 220k\nR3 2 0 220k",
    ),
    Case("two in parallel", (resistor(2.2e6, count=2),), "Rc t 0 200meg\nR1 t 0 2.2meg\nR2 t 0 2.2meg"),
    Case("neon at 250 V", (neon(220e3),), "Rc t 0 200meg\nX1 t 0 neon rs=220k", nominal_v=250),
    Case("neon at 500 V, limited", (neon(220e3),), "Rc t 0 200meg\nX1 t 0 neon rs=220k"),
    Case("neon at 500 V, strong tester", (neon(220e3),), "Rc t 0 200meg\nX1 t 0 neon rs=220k", limit_a=0.005),
    Case("neon below striking", (neon(220e3),), "Rc t 0 200meg\nX1 t 0 neon rs=220k", nominal_v=50),
    Case(
        "two neons that strike apart",
        (neon(470e3, 85, 65), neon(150e3, 120, 75)),
        "Rc t 0 200meg\nX1 t 0 neon rs=470k vst=85 vm=65\nX2 t 0 neon rs=150k vst=120 vm=75",
        nominal_v=250,
    ),
    Case(
        "two neons at the limit",
        (neon(470e3, 85, 65), neon(150e3, 120, 75)),
        "Rc t 0 200meg\nX1 t 0 neon rs=470k vst=85 vm=65\nX2 t 0 neon rs=150k vst=120 vm=75",
    ),
    Case(
        "the first neon keeps the second dark",
        (neon(20e3, 80, 65), neon(150e3, 110, 75)),
        "Rc t 0 200meg\nX1 t 0 neon rs=20k vst=80 vm=65\nX2 t 0 neon rs=150k vst=110 vm=75",
    ),
    Case(
        "a resistor keeps the neon dark",
        (resistor(82e3), neon(220e3)),
        "Rc t 0 200meg\nR1 t 0 82k\nX1 t 0 neon rs=220k",
    ),
    Case(
        "a resistor beside a lit neon",
        (resistor(150e3), neon(220e3)),
        "Rc t 0 200meg\nR1 t 0 150k\nX1 t 0 neon rs=220k",
    ),
    Case(
        "three neons",
        (neon(330e3, count=3),),
        "Rc t 0 200meg\nX1 t 0 neon rs=330k\nX2 t 0 neon rs=330k\nX3 t 0 neon rs=330k",
    ),
    Case("varistor at 500 V", (varistor(),), "Rc t 0 200meg\nX1 t 0 varistor"),
    Case("varistor at 500 V, strong tester", (varistor(),), "Rc t 0 200meg\nX1 t 0 varistor", limit_a=0.010),
    Case("varistor at 250 V", (varistor(),), "Rc t 0 200meg\nX1 t 0 varistor", nominal_v=250),
    Case("varistor at 1000 V", (varistor(),), "Rc t 0 200meg\nX1 t 0 varistor", nominal_v=1000),
    Case("varistor of 470 V, not limited", (varistor(610),), "Rc t 0 200meg\nX1 t 0 varistor v1=610"),
    Case(
        "two varistors and a resistor",
        (varistor(470, 25, count=2), resistor(1.5e6)),
        "Rc t 0 200meg\nX1 t 0 varistor v1=470 alpha=25\nX2 t 0 varistor v1=470 alpha=25\nR1 t 0 1.5meg",
    ),
    Case("driver", (driver(),), "Rc t 0 200meg\nX1 t 0 electronics rb=300k"),
    Case("driver, not limited", (driver(),), "Rc t 0 200meg\nX1 t 0 electronics rb=300k", limit_a=0.002),
    Case("winding", (WoundTransformer(winding_ohm=exact(48)),), "Rc t 0 200meg\nL1 t 1 1\nR1 1 0 48"),
    Case(
        "capacitor alone ends at the cable",
        (SuppressionCapacitor(capacitance_f=exact(0.1e-6)),),
        "Rc t 0 50meg\nC1 t 0 0.1u",
        cable_mohm=50,
    ),
    Case(
        "capacitor with a discharge resistor",
        (SuppressionCapacitor(capacitance_f=exact(0.1e-6), discharge_ohm=exact(1e6)),),
        "Rc t 0 200meg\nC1 t 0 0.1u\nR1 t 0 1meg",
    ),
    Case(
        "RC network and a load module",
        (
            RcNetwork(resistance_ohm=exact(100), capacitance_f=exact(0.1e-6)),
            LoadModule(resistance_ohm=exact(33e3)),
        ),
        "Rc t 0 200meg\nR1 t 1 100\nC1 1 0 0.1u\nR2 t 0 33k",
    ),
    Case(
        "everything at once",
        (
            SuppressionCapacitor(capacitance_f=exact(0.22e-6)),
            neon(470e3),
            varistor(),
            driver(1e6),
            resistor(2.2e6),
        ),
        "Rc t 0 200meg\nC1 t 0 0.22u\nX1 t 0 neon rs=470k\nX2 t 0 varistor\nX3 t 0 electronics rb=1meg\n"
        "R1 t 0 2.2meg",
        nominal_v=1000,
        limit_a=0.002,
    ),
    Case(
        "old cable with damp",
        (neon(270e3),),
        "Rc t 0 0.4meg\nX1 t 0 neon rs=270k",
        cable_mohm=0.4,
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_typical_reading_is_the_simulators(case: Case) -> None:
    ours = expected_reading(exact(case.cable_mohm), case.parts, Tester(case.nominal_v, case.limit_a))
    volts, mohm = settled(case.netlist, case.nominal_v, case.limit_a)
    assert ours.terminal_v.typical == pytest.approx(volts, rel=TOLERANCE)
    assert ours.mohm.typical == pytest.approx(mohm, rel=TOLERANCE)


@pytest.mark.parametrize(
    ("rs", "vst", "vm", "cable"), [("209k", 65, 60, "2meg"), ("231k", 135, 80, "1000meg")]
)
def test_the_ends_of_the_range_hold_the_simulator_at_the_ends_of_the_values(
    rs: str, vst: float, vm: float, cable: str
) -> None:
    part = Neon(series_ohm=Span.within(220e3, 0.05), strike_v=Span(65, 90, 135), maintain_v=Span(60, 70, 80))
    ours = expected_reading(Span(2, 200, 1000), [part], Tester(250, 0.005))
    _, mohm = settled(f"Rc t 0 {cable}\nX1 t 0 neon rs={rs} vst={vst} vm={vm}", 250, 0.005)
    end = ours.mohm.low if vst == 65 else ours.mohm.high
    assert end == pytest.approx(mohm, rel=TOLERANCE)


def _charging_s(elements: str, nominal_v: float, limit_a: float, level_v: float, seconds: float) -> float:
    return simulate(
        f"""charging
{_ELEMENTS}
Btest 0 t i = max(min({limit_a}, {nominal_v} - v(t)), -{limit_a})
{elements}
.options reltol=1e-5
.ic v(t)=0
.tran {seconds / 20000} {seconds} uic
.meas tran reached when v(t)={level_v} rise=1
.end
"""
    )["reached"]


@pytest.mark.parametrize(
    ("farads", "ohm", "nominal_v", "limit_a"),
    [
        (0.1e-6, 50e6, 500, 0.001),
        (0.1e-6, 1e6, 500, 0.001),
        (0.47e-6, 600e3, 500, 0.001),
        (0.22e-6, 300e3, 250, 0.001),
        (1e-6, 150e3, 1000, 0.010),
    ],
)
def test_time_to_charge_is_the_simulators(
    farads: float, ohm: float, nominal_v: float, limit_a: float
) -> None:
    ours = time_to_charge(farads, ohm, Tester(nominal_v, limit_a))
    # A millionth below nominal, so that the knee of the simulated source does not count.
    simulated = _charging_s(
        f"C1 t 0 {farads}\nR1 t 0 {ohm}", nominal_v, limit_a, nominal_v * (1 - 1e-5) - limit_a, 2 * ours
    )
    assert ours == pytest.approx(simulated, rel=TOLERANCE)


def test_a_reading_held_at_the_limit_counts_as_settled_within_one_per_cent() -> None:
    ours = time_to_charge(0.47e-6, 200e3, Tester(500, 0.001))
    simulated = _charging_s("C1 t 0 0.47u\nR1 t 0 200k", 500, 0.001, 0.99 * 200, 2 * ours)
    assert ours == pytest.approx(simulated, rel=TOLERANCE)


def test_discharge_through_what_is_registered_is_the_simulators() -> None:
    simulated = simulate(
        """discharge
C1 t 0 0.1u
R1 t 0 1meg
.ic v(t)=500
.options reltol=1e-5
.tran 10u 0.5 uic
.meas tran safe when v(t)=60 fall=1
.end
"""
    )["safe"]
    assert time_to_discharge(0.1e-6, 1e6, 500) == pytest.approx(simulated, rel=TOLERANCE)
    part = SuppressionCapacitor(capacitance_f=exact(0.1e-6), discharge_ohm=exact(1e6))
    expected = expected_reading(exact(1e6), [part], Tester(500))
    assert expected.discharge_s.typical == pytest.approx(simulated, rel=TOLERANCE)


def test_a_driver_and_a_capacitor_outside_it_discharge_together_in_the_simulator() -> None:
    simulated = simulate(
        """discharge
C1 t 0 0.1u
Rc t 0 1e12
V1 t a 1.2
D1 a b rect
.model rect d(n=0.001 is=1n rs=0.01)
C2 b 0 0.47u
R1 b 0 300k
.ic v(t)=500 v(b)=498.8
.options reltol=1e-5
.tran 10u 1 uic
.meas tran safe when v(t)=60 fall=1
.end
"""
    )["safe"]
    parts = [SuppressionCapacitor(capacitance_f=exact(0.1e-6)), driver(300e3, 0.47e-6)]
    expected = expected_reading(exact(1e6), parts, Tester(500, 0.005))
    # The simulator's rectifier keeps 1.2 V at the terminals, 2 % of 60 V, which our sum leaves out.
    assert expected.discharge_s.typical == pytest.approx(simulated, rel=0.02)


def test_loads_to_earth_stand_in_series_across_line_and_neutral() -> None:
    """The simulator reads two 300 kΩ in series by way of earth; our range holds it and says why."""
    parts = [
        Resistor(resistance_ohm=exact(300e3), connection=connection)
        for connection in (Connection.LINE_EARTH, Connection.NEUTRAL_EARTH)
    ]
    ours = expected_reading(exact(200), parts, Tester(500, 0.005))
    _, mohm = settled("Rln t 0 200meg\nR1 t e 300k\nR2 e 0 300k\nRle t e 200meg\nRne e 0 200meg", 500, 0.005)
    assert ours.mohm.low <= mohm <= ours.mohm.high
    assert ours.uncertain
