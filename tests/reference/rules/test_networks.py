"""Our formulas against circuits solved node by node (Kirchhoff), independently of them."""

import random
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pytest

from inspections.rules import insulation, ring
from inspections.rules.edition import load
from inspections.rules.facts import Case, CircuitFacts, CircuitReadings
from inspections.rules.finding import Code
from inspections.rules.readings import Reading

Resistor = tuple[str, str, float]


def between(a: str, b: str, resistors: list[Resistor]) -> float:
    """Resistance between two nodes: 1 A in at a, out at b, node equations by elimination."""
    nodes = sorted({node for resistor in resistors for node in resistor[:2]} - {b})
    at = {node: place for place, node in enumerate(nodes)}
    rows = [[0.0] * len(nodes) + [1.0 if node == a else 0.0] for node in nodes]
    for one, other, ohm in resistors:
        for here, there in ((one, other), (other, one)):
            if here in at:
                rows[at[here]][at[here]] += 1 / ohm
                if there in at:
                    rows[at[here]][at[there]] -= 1 / ohm
    for i in range(len(rows)):
        pivot = max(range(i, len(rows)), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for r in range(len(rows)):
            if r != i:
                factor = rows[r][i] / rows[i][i]
                rows[r] = [x - factor * y for x, y in zip(rows[r], rows[i], strict=True)]
    return rows[at[a]][-1] / rows[at[a]][at[a]]


def step_3(
    r1: float, r2: float, points: list[float], bridge: tuple[float, float] | None = None
) -> list[float]:
    """R1+R2 at each point of a ring whose line and cpc ends are joined crosswise at the board.

    bridge: two points of the ring where line meets line and cpc meets cpc, as where two rings interlink.
    """
    small = 1e-9
    places = sorted({0.0, 1.0, *points, *(bridge or ())})
    resistors = []
    for here, there in pairwise(places):
        resistors += [
            (f"L{here}", f"L{there}", (there - here) * r1),
            (f"E{here}", f"E{there}", (there - here) * r2),
        ]
    resistors += [("L0.0", "E1.0", small), ("L1.0", "E0.0", small)]
    if bridge:
        resistors += [(f"{c}{bridge[0]}", f"{c}{bridge[1]}", small) for c in "LE"]
    return [between(f"L{point}", f"E{point}", resistors) for point in points]


def end_to_end(r: float, bridge: tuple[float, float]) -> float:
    """A conductor of the ring with two of its points joined."""
    return r * (bridge[0] + 1 - bridge[1])


@pytest.mark.parametrize("x", [0.1, 0.25, 0.5, 0.8])
@pytest.mark.parametrize(("r1", "r2"), [(0.5, 0.835), (0.3, 0.3), (0.461, 1.21)])
def test_r1_r2_along_a_sound_ring(x, r1, r2):
    (solved,) = step_3(r1, r2, [x])
    assert float(ring.at_point(Decimal(str(r1)), Decimal(str(r2)), Decimal(str(x)))) == pytest.approx(
        solved, rel=1e-6
    )


BS7671 = load("bs7671_2018_a2_2022")
RING = CircuitFacts(ring=True, live_csa_mm2=Decimal("2.5"), cpc_csa_mm2=Decimal("1.5"), length_m=Decimal(80))


def ring_codes(r1: float, rn: float, r2: float, r1_r2: float) -> list[Code]:
    """What the ring checks say of readings rounded to two places, as an instrument shows them."""
    readings = CircuitReadings(
        *(Reading.parse(f"{value:.2f}") for value in (r1, rn, r2, r1_r2)),
    )
    case = Case(RING, readings, BS7671)
    checks = (ring.interrupted, ring.line_and_neutral, ring.cpc_against_line, ring.quarter)
    return [finding.code for check in checks for finding in check(case)]


# 80 m of 2.5/1.5 by IEC 60228: 0.593 Ω and 0.968 Ω.
R1, R2 = 0.593, 0.968


def test_a_sound_ring_solved_node_by_node_raises_nothing():
    highest = max(step_3(R1, R2, [0.1, 0.3, 0.5, 0.7]))
    assert ring_codes(R1, R1, R2, highest) == []


@pytest.mark.parametrize("bridge", [(0.3, 0.7), (0.2, 0.6), (0.4, 0.9)])
def test_a_ring_bridged_across_is_recognised(bridge):
    """A figure of eight: end to end too short for its length, and a point of the inner loop too high."""
    inner = (bridge[0] + bridge[1]) / 2
    highest = max(step_3(R1, R2, [0.1, inner], bridge))
    shortened = [end_to_end(value, bridge) for value in (R1, R1, R2)]
    assert ring_codes(*shortened, highest) == [Code.RING_CROSSED]


def test_a_long_spur_reads_high():
    """15 m of spur half way: 15 × 19.51 mΩ above the ring's own reading."""
    (on_ring,) = step_3(R1, R2, [0.5])
    assert ring_codes(R1, R1, R2, on_ring + 15 * 19.51 / 1000) == [Code.RING_SPUR_OR_LOOSE]


def test_a_cpc_bonded_to_steel_conduit_reads_low():
    """Conduit of 0.2 Ω beside the whole cpc."""
    beside = 1 / (1 / R2 + 1 / 0.2)
    assert Code.RING_CPC_LOW in ring_codes(R1, R1, beside, max(step_3(R1, beside, [0.5])))


def insulation_readings(line_neutral: float, line_earth: float, neutral_earth: float) -> tuple[float, float]:
    """What a tester shows line to neutral, and with line and neutral joined to earth, in MΩ."""
    network = [("L", "N", line_neutral), ("L", "E", line_earth), ("N", "E", neutral_earth)]
    return between("L", "N", network), between("L", "E", [*network, ("L", "N", 1e-9)])


def path_codes(live_live: float, live_earth: float) -> list[Code]:
    circuit = CircuitFacts(nominal_voltage_v=Decimal(230))
    readings = CircuitReadings(
        ir_live_live=Reading.parse(f"{live_live:.4f}"), ir_live_earth=Reading.parse(f"{live_earth:.4f}")
    )
    return [finding.code for finding in insulation.where_the_path_lies(Case(circuit, readings, BS7671))]


DICE = random.Random(61557)
OPEN = 1e9  # no path at all, in MΩ


def codes_of_1000(resistances) -> list[Code]:
    """What is said of 1000 circuits, each reading up to 30 % off (IEC 61557-2)."""
    said = []
    for _ in range(1000):
        readings = insulation_readings(*resistances())
        said += path_codes(*(reading / DICE.uniform(0.71, 1.29) for reading in readings))
    return said


def any_mohm() -> float:
    return float(10 ** DICE.uniform(-2, 3))


def test_a_path_between_lives_is_never_said_where_there_is_none():
    said = codes_of_1000(lambda: (OPEN, any_mohm(), any_mohm()))
    assert Code.INSULATION_PATH_BETWEEN_LIVES not in said
    assert Code.INSULATION_ONE_CONDUCTOR in said


def test_one_conductor_is_never_said_where_both_leak_alike():
    def alike():
        to_earth = any_mohm()
        return any_mohm(), to_earth, to_earth

    said = codes_of_1000(alike)
    assert Code.INSULATION_ONE_CONDUCTOR not in said
    assert Code.INSULATION_PATH_BETWEEN_LIVES in said


@pytest.mark.parametrize(
    ("live_live", "live_earth"), [(0.1, 500), (500, 0.1), (1, 1), (200, 50), (0.2, 0.05)]
)
def test_no_pair_of_readings_is_impossible(live_live, live_earth):
    """For any pair there is a sound or faulty circuit that reads so, hence no check calls one impossible.

    A path to earth from one conductor alone gives the earth reading; what is left is put line to neutral.
    """
    shown = insulation_readings(live_live, live_earth, OPEN)
    assert shown == pytest.approx((live_live, live_earth), rel=1e-4)  # as near as the solver comes


@pytest.mark.parametrize("count", [2, 3, 7])
def test_parallel_against_the_network(count):
    values = [0.5 * (place + 1) for place in range(count)]
    solved = between("A", "B", [("A", "B", value) for value in values])
    assert float(insulation.parallel(Decimal(str(value)) for value in values)) == pytest.approx(solved)


def test_the_ring_checks_need_no_length_to_see_a_high_reading():
    case = Case(
        replace(RING, length_m=None),
        CircuitReadings(r1=Reading.parse("0.36"), r2=Reading.parse("0.58"), r1_r2=Reading.parse("0.40")),
        BS7671,
    )
    assert [finding.code for finding in ring.quarter(case)] == [Code.RING_SPUR_OR_LOOSE]
