"""A board of circuits to measure the speed of all checks with: the same one every time, faults and all."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from inspections.rules.edition import Edition
from inspections.rules.facts import BoardFacts, Case, CircuitFacts, CircuitReadings, Earthing, SupplyFacts
from inspections.rules.readings import Reading


def board_of(circuits: int, edition: Edition) -> list[Case]:
    """That many circuits of one board: rings, lighting and fixed equipment, every seventh with a low reading.

    To be timed as ``for case in board_of(60, edition): check_circuit(case)``.
    """
    supply = SupplyFacts(Earthing.TN_C_S, False, Decimal(230), Decimal(50), _read("0.21"), _read("1.10"))
    board = BoardFacts("DB1", zdb_ohm=_read("0.21"), ipf_ka=_read("1.10"))
    kinds = (_RING, _LIGHTING, _FIXED)
    return [
        Case(
            replace(kinds[way % 3][0], designation=str(way + 1)),
            kinds[way % 3][1] if way % 7 else replace(kinds[way % 3][1], ir_live_live=_read("0.19")),
            edition,
            supply,
            board,
            on=date(2026, 11, 3),
        )
        for way in range(circuits)
    ]


def _read(text: str) -> Reading:
    return Reading.parse(text)


_SOUND = CircuitReadings(
    r1_r2=_read("0.60"),
    ir_voltage_v=Decimal(500),
    ir_live_live=_read(">200"),
    ir_live_earth=_read(">200"),
    polarity=_read("✓"),
    zs=_read("0.81"),
)
_LIGHTING = (
    CircuitFacts(
        description="Lighting",
        points=9,
        live_csa_mm2=Decimal("1.5"),
        cpc_csa_mm2=Decimal("1.0"),
        device_standard="60898",
        device_type="B",
        device_rating_a=Decimal(6),
        breaking_capacity_ka=Decimal(6),
        length_m=Decimal(20),
    ),
    _SOUND,
)
_RING = (
    replace(
        _LIGHTING[0],
        description="Ring, sockets",
        ring=True,
        live_csa_mm2=Decimal("2.5"),
        cpc_csa_mm2=Decimal("1.5"),
        device_standard="61009",
        device_rating_a=Decimal(32),
        rcd_type="A",
        rcd_residual_ma=Decimal(30),
        length_m=Decimal(60),
    ),
    replace(
        _SOUND,
        r1=_read("0.44"),
        rn=_read("0.45"),
        r2=_read("0.73"),
        r1_r2=_read("0.29"),
        zs=_read("0.50"),
        rcd_trip_ms=_read("28"),
        rcd_button=_read("✓"),
    ),
)
_FIXED = (
    replace(_LIGHTING[0], description="Immersion heater", device_rating_a=Decimal(16), points=1),
    _SOUND,
)
