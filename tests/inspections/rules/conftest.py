"""Plain circuits for the checks to be tried on: every test changes what it is about and nothing else."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from inspections.rules.edition import load
from inspections.rules.facts import BoardFacts, Case, CircuitFacts, CircuitReadings, Earthing, SupplyFacts
from inspections.rules.finding import Code, Finding
from inspections.rules.readings import Reading

BS7671 = load("bs7671_2018_a2_2022")
LIGHTING = CircuitFacts(
    designation="3",
    description="Lighting, hall",
    points=9,
    live_csa_mm2=Decimal("1.5"),
    cpc_csa_mm2=Decimal("1.0"),
    device_standard="60898",
    device_type="B",
    device_rating_a=Decimal(6),
    breaking_capacity_ka=Decimal(6),
)
READ = CircuitReadings(
    r1_r2=Reading.parse("0.60"),
    ir_voltage_v=Decimal(500),
    ir_live_live=Reading.parse(">200"),
    ir_live_earth=Reading.parse(">200"),
    polarity=Reading.parse("✓"),
    zs=Reading.parse("0.81"),
)
HOUSE = SupplyFacts(
    Earthing.TN_C_S, u0_v=Decimal(230), ze_ohm=Reading.parse("0.21"), ipf_ka=Reading.parse("1.10")
)
BOARD = BoardFacts("DB1", zdb_ohm=Reading.parse("0.21"), ipf_ka=Reading.parse("1.10"))


def _value(name: str, value: Any) -> Any:
    """Text becomes a reading where a reading belongs; whole numbers and text of numbers become decimals."""
    if name in _READING_NAMES:
        return Reading.parse(value)
    if isinstance(value, bool) or name == "points":
        return value
    return Decimal(value) if isinstance(value, int) else value


_READING_NAMES = {
    "r1", "rn", "r2", "r1_r2", "r2_only", "ir_live_live", "ir_live_earth", "polarity", "zs", "rcd_trip_ms",
    "rcd_button", "afdd_button", "ze_ohm", "zdb_ohm", "ipf_ka",
}  # fmt: skip


def a_case(
    *,
    supply: SupplyFacts = HOUSE,
    board: BoardFacts = BOARD,
    covered: frozenset[str] = frozenset(),
    **changes: Any,
) -> Case:
    """A sound lighting circuit, with fields of the circuit or of its readings changed by name."""
    changes = {name: _value(name, value) for name, value in changes.items()}
    circuit = {name: value for name, value in changes.items() if name in CircuitFacts.__slots__}
    readings = {name: value for name, value in changes.items() if name in CircuitReadings.__slots__}
    rest = {name: value for name, value in changes.items() if name not in circuit and name not in readings}
    return Case(
        replace(LIGHTING, **circuit),
        replace(READ, **readings),
        **{"edition": BS7671, "supply": supply, "board": board, "covered": covered, **rest},
    )


@pytest.fixture
def case() -> Callable[..., Case]:
    return a_case


def codes(findings: Any) -> list[Code]:
    return [finding.code for finding in findings]


@pytest.fixture
def codes_of() -> Callable[[Any], list[Code]]:
    return codes


def only(findings: Any) -> Finding:
    """The one finding there is."""
    (finding,) = findings
    return finding


@pytest.fixture
def one() -> Callable[[Any], Finding]:
    return only
