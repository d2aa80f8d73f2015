"""Remedies off and on held to netlists in ngspice.

Linear parts: small-signal analysis, tolerance 0.1 % (the same linear circuit, seven printed figures). Neons:
transient analysis, the lamp a switch with hysteresis and a source of its maintaining voltage, written by
hand; tolerance 0.5 % because the simulator finds each strike only to within its time step, and its switch
has 1 Ω. It shows that the arithmetic of the models is right, not what a particular lamp does.
"""

import itertools
import math

import pytest

from remedies.physics import neon
from remedies.physics.operating import Conditions, admittance, on_state
from remedies.physics.parts import LoadModule, Part, RcNetwork, Resistor, SuppressionCapacitor
from remedies.physics.quantity import Span
from remedies.physics.ratings import discharge
from remedies.physics.stray_voltage import Neighbour, source
from tests.reference.physics.ngspice import simulate
from tests.reference.physics.ngspice_ac import simulate_ac

pytestmark = pytest.mark.ngspice

LOSS = 0.002  # tan δ that our capacitors have: as a resistor beside them, 1/(ωC·tanδ)


def _capacitor(farads: float, bleed: float | None = None) -> tuple[Part, str]:
    part = SuppressionCapacitor(
        capacitance_f=Span.exact(farads), discharge_ohm=Span.exact(bleed) if bleed else None
    )
    loss = 1 / (2 * math.pi * 50 * farads * LOSS)
    return part, f"Cx n 0 {farads}\nRloss n 0 {loss}\n" + (f"Rb n 0 {bleed}\n" if bleed else "")


def _rc(ohm: float, farads: float) -> tuple[Part, str]:
    part = RcNetwork(resistance_ohm=Span.exact(ohm), capacitance_f=Span.exact(farads))
    return part, f"Rx n x {ohm}\nCx x 0 {farads}\n"


def _resistors(ohm: float, in_series: int = 1, count: int = 1) -> tuple[Part, str]:
    part = Resistor(resistance_ohm=Span.exact(ohm), in_series=in_series, count=count)
    lines = []
    for branch in range(count):
        nodes = ["n", *(f"s{branch}_{index}" for index in range(1, in_series)), "0"]
        pairs = itertools.pairwise(nodes)
        lines += [f"R{branch}_{index} {a} {b} {ohm}" for index, (a, b) in enumerate(pairs)]
    return part, "\n".join(lines) + "\n"


PARTS = {
    "47 nF": _capacitor(47e-9),
    "0.1 uF": _capacitor(0.1e-6),
    "0.22 uF": _capacitor(0.22e-6),
    "0.1 uF with 1 M across": _capacitor(0.1e-6, 1e6),
    "100 R and 0.1 uF": _rc(100, 0.1e-6),
    "10 k and 47 nF": _rc(10e3, 47e-9),
    "15 k": _resistors(15e3),
    "47 k": _resistors(47e3),
    "two of 47 k in series": _resistors(47e3, in_series=2),
    "three of 220 k in parallel": _resistors(220e3, count=3),
    "module of 33 k": (LoadModule(resistance_ohm=Span.exact(33e3)), "Rx n 0 33k\n"),
}
RUNS = {"5 m": (350e-12, 0.0), "20 m": (1.4e-9, 0.3e-9), "50 m": (3.5e-9, 1e-9)}


@pytest.mark.parametrize("run", RUNS)
@pytest.mark.parametrize("name", PARTS)
def test_lamp_voltage_when_off(name: str, run: str) -> None:
    part, lines = PARTS[name]
    coupling, earth = RUNS[run]
    built = f"V1 l 0 AC 230\nCc l n {coupling}\nCe n 0 {earth}\nRdc n 0 1e15\n{lines}"
    stray = source([Neighbour(230, coupling)], earth_capacitance_f=earth)
    simulated = simulate_ac(built, 50, lamp="mag(v(n))")["lamp"]
    assert stray.volts(admittance(part)) == pytest.approx(simulated, rel=1e-3)


@pytest.mark.parametrize("volts", [230.0, 253.0])
@pytest.mark.parametrize("name", PARTS)
def test_current_and_power_when_on(name: str, volts: float) -> None:
    part, lines = PARTS[name]
    built = f"V1 n 0 AC {volts}\nRdc n 0 1e15\n{lines}"
    run = simulate_ac(built, 50, amps="mag(i(v1))", inphase="real(i(v1))")
    on = on_state(part, volts)
    assert on.current_a == pytest.approx(run["amps"], rel=1e-3)
    assert on.power_w == pytest.approx(volts * abs(run["inphase"]), rel=1e-3)


def _neon_lines(index: int, series: float, strike: float, hold: float) -> str:
    """A neon between node n and 0: a switch closing at ±strike, opening at ±hold, hysteresis in its model."""
    middle, half = (strike + hold) / 2, (strike - hold) / 2
    return (
        f"Bsense{index} c{index} 0 V=abs(v(n))\n"
        f"S{index} n a{index} c{index} 0 neon{index} OFF\n"
        f"Rs{index} a{index} b{index} {series}\n"
        f"Bhold{index} b{index} 0 V={hold}*sgn(v(n))\n"
        f".model neon{index} sw(vt={middle} vh={half} ron=1 roff=1e13)\n"
    )


@pytest.mark.parametrize("volts", [120.0, 230.0, 253.0])
@pytest.mark.parametrize(("series", "strike", "hold"), [(150e3, 90, 65), (220e3, 90, 65), (470e3, 120, 70)])
def test_neon_on_the_supply(series: float, strike: float, hold: float, volts: float) -> None:
    netlist = (
        f"neon on supply\nV1 n 0 SIN(0 {volts * math.sqrt(2)} 50)\n{_neon_lines(0, series, strike, hold)}"
        ".tran 5u 0.08 0 5u\n"
        ".meas tran amps rms i(V1) from=0.04 to=0.08\n"
        ".meas tran watts avg par('-v(n)*i(V1)') from=0.04 to=0.08\n.end\n"
    )
    run = simulate(netlist)
    on = neon.on_supply(neon.Lamp(series, strike, hold), volts)
    assert on.current_a == pytest.approx(run["amps"], rel=5e-3)
    assert on.power_w == pytest.approx(run["watts"], rel=5e-3)


@pytest.mark.parametrize(
    ("coupling", "earth", "lamps", "beside_ohm"),
    [
        (1.4e-9, 0.2e-9, [(220e3, 90, 65)], None),
        (3.5e-9, 0.2e-9, [(220e3, 90, 65)], None),
        (7e-9, 1e-9, [(150e3, 90, 65)], None),
        (3.5e-9, 0.5e-9, [(470e3, 120, 70)], None),
        (3.5e-9, 0.2e-9, [(220e3, 90, 65), (220e3, 95, 65), (220e3, 100, 70)], None),
        (3.5e-9, 0.2e-9, [(220e3, 90, 65)], 2.2e6),
    ],
)
def test_neon_on_a_stray_voltage(
    coupling: float, earth: float, lamps: list[tuple[float, float, float]], beside_ohm: float | None
) -> None:
    lines = "".join(_neon_lines(index, *lamp) for index, lamp in enumerate(lamps))
    beside = f"Rbeside n 0 {beside_ohm}\n" if beside_ohm else ""
    netlist = (
        f"neon on stray\nV1 l 0 SIN(0 {230 * math.sqrt(2)} 50)\nCc l n {coupling}\nCe n 0 {earth}\n"
        f"Rdc n 0 1e12\n{beside}{lines}.tran 2u 0.6 0 2u uic\n"
        ".meas tran volts rms v(n) from=0.4 to=0.6\n.end\n"
    )
    stray = source([Neighbour(230, coupling)], earth_capacitance_f=earth)
    across = [complex(1 / beside_ohm)] if beside_ohm else []
    found = neon.on_stray(stray, [neon.Lamp(*lamp) for lamp in lamps], *across)
    assert found.strikes
    assert found.volts == pytest.approx(simulate(netlist)["volts"], rel=5e-3)


def test_discharge_through_its_own_resistor() -> None:
    # From the crest of 253 V, 0.22 µF and 1 MΩ: the simulator's time to 34 V against R·C·ln(Vp/34).
    crest = 253 * math.sqrt(2)
    netlist = (
        f"discharge\nC1 n 0 0.22u ic={crest}\nR1 n 0 1meg\n.tran 0.1m 1 0 0.1m uic\n"
        ".meas tran safe when v(n)=34 fall=1\n.end\n"
    )
    by_hand = 1e6 * 0.22e-6 * math.log(crest / 34)
    assert simulate(netlist)["safe"] == pytest.approx(by_hand, rel=1e-3)

    part = SuppressionCapacitor(capacitance_f=Span.exact(0.22e-6), discharge_ohm=Span.exact(1e6))
    found = discharge(part, Conditions())
    assert found is not None
    assert found.typical == pytest.approx(simulate(netlist)["safe"], rel=1e-3)
