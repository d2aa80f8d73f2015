"""Voltage drop from the resistance measured and the design current, all of it taken at the far end."""

from collections.abc import Iterator
from decimal import Decimal

from inspections.rules import tables
from inspections.rules.continuity import Worked, exactly, line_and_cpc
from inspections.rules.facts import Case, CircuitFacts, CircuitReadings, ConductorInsulation, positive
from inspections.rules.figures import plain, two_places
from inspections.rules.finding import Code, Finding, Severity, found

FULL_LOAD_C = {
    ConductorInsulation.THERMOPLASTIC: Decimal(70),
    ConductorInsulation.THERMOSETTING: Decimal(90),
}


def line_ohm(circuit: CircuitFacts, readings: CircuitReadings) -> Worked | None:
    """Resistance of the line conductor alone, to the far end.

    Of a ring (r1 + rn) ÷ 8, line and neutral sharing (r1 + rn) ÷ 4; else R1 = (R1+R2) × S2 ÷ (S1 + S2),
    because resistance goes as the inverse of the size.
    """
    r1, rn = exactly(readings.r1), exactly(readings.rn)
    if circuit.ring and r1 is not None and rn is not None:
        ohm = (r1 + rn) / 8
        return Worked(ohm, f"({readings.r1} + {readings.rn}) ÷ 8 = {ohm:.3f} Ω")
    both = line_and_cpc(circuit, readings)
    live, cpc = positive(circuit.live_csa_mm2), positive(circuit.cpc_csa_mm2)
    if both is None or live is None or cpc is None:
        return None
    ohm = both.ohm * cpc / (live + cpc)
    return Worked(
        ohm, f"{two_places(both.ohm)} × {plain(cpc)} ÷ ({plain(live)} + {plain(cpc)}) = {ohm:.3f} Ω"
    )


def drop(case: Case) -> Iterator[Finding]:
    """Drop in per cent of U0, conductors at full load, against the limit for lighting or for the rest."""
    limits, circuit = case.edition.voltage_drop, case.circuit
    current_a, u0_v = positive(circuit.design_current_a), positive(case.supply.u0_v)
    line = line_ohm(circuit, case.readings)
    if limits is None or current_a is None or u0_v is None or line is None:
        return
    limit = limits.lighting_percent if circuit.serves_lighting else limits.other_percent
    hot_c = FULL_LOAD_C[circuit.conductor_insulation or ConductorInsulation.THERMOPLASTIC]
    measured_c = tables.AT_C if circuit.conductor_temperature_c is None else circuit.conductor_temperature_c
    factor = tables.temperature_factor(hot_c) / tables.temperature_factor(measured_c)
    conductors = 1 if circuit.three_phase else 2  # balanced phases leave nothing to drop in the neutral
    percent = conductors * line.ohm * factor * current_a / u0_v * 100
    if percent <= limit.number:
        return
    yield found(
        Code.VOLTAGE_DROP,
        "r1_r2",
        Severity.LOOK_INTO,
        f"Voltage drop {two_places(percent)} % at {plain(current_a)} A is above {plain(limit.number)} %.",
        limit.source,
        working=f"{line.working}; {conductors} × {line.ohm:.3f} × {factor:.2f} × {plain(current_a)} ÷ "
        f"{plain(u0_v)} "
        f"= {two_places(percent)} %",
        drop=f"{two_places(percent)} %",
        limit=f"{plain(limit.number)} %",
        load=f"{plain(current_a)} A",
    )
