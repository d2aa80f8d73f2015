"""The cpc's thermal withstand: S ≥ √(I²·t) ÷ k with the Zs measured.

A fuse lets through no more energy at a higher current, so the printed current and time of the fastest table
that the measured Zs still meets bound what it can let through. A breaker that trips at once is taken at
0.1 s, which is longer than it needs; where the cpc is too small by that, the maker's let-through energy
decides.
"""

from collections.abc import Iterator
from decimal import Decimal

from inspections.rules.continuity import exactly
from inspections.rules.devices import Device, device
from inspections.rules.edition import ThermalK, ThermalLimits
from inspections.rules.facts import Case, CircuitFacts, positive
from inspections.rules.figures import plain, two_places
from inspections.rules.finding import Code, Finding, Severity, found
from inspections.rules.loop import TABLES_AT_V, fuse_table


def least_csa_mm2(current_a: Decimal, seconds: Decimal, k: Decimal) -> Decimal:
    """√(I²·t) ÷ k in mm² (IEC 60364-5-54, 543.1.2). k above zero.

    >>> f"{least_csa_mm2(Decimal(230), Decimal(1), Decimal(115)):.2f}"
    '2.00'
    """
    return current_a * seconds.sqrt() / k


def k_of(circuit: CircuitFacts, limits: ThermalLimits) -> ThermalK | None:
    """k for the cpc's metal, insulation and place; None where the insulation is not said."""
    wanted = (circuit.conductor, circuit.conductor_insulation, circuit.cpc_in_cable)
    return next((row for row in limits.rows if (row.conductor, row.insulation, row.in_cable) == wanted), None)


def cpc_withstand(case: Case) -> Iterator[Finding]:
    """The cpc against the energy that the device lets through at the measured Zs."""
    circuit, limits = case.circuit, case.edition.thermal
    csa, zs, u0_v = (
        positive(circuit.cpc_csa_mm2),
        positive(exactly(case.readings.zs)),
        positive(case.supply.u0_v),
    )
    protective = device(case.edition, circuit.device_standard, circuit.device_type)
    rating_a = positive(circuit.device_rating_a)
    if not (limits and csa and zs and u0_v and rating_a) or protective is None:
        return
    k = k_of(circuit, limits)
    if k is None:
        return
    current_a = u0_v / zs
    if (multiple := protective.standard.multiples.get(protective.type)) is not None:
        if current_a >= multiple * rating_a:
            yield from _breaker(case, csa, current_a, limits, k)
    else:
        yield from _fuse(case, protective, csa, zs, rating_a, k)


def _breaker(
    case: Case, csa: Decimal, current_a: Decimal, limits: ThermalLimits, k: ThermalK
) -> Iterator[Finding]:
    seconds = limits.instantaneous_s.number
    least = least_csa_mm2(current_a, seconds, k.k)
    if least <= csa:
        return
    yield found(
        Code.CPC_LET_THROUGH,
        "cpc_csa_mm2",
        Severity.NOTE,
        f"cpc {plain(csa)} mm² is under {two_places(least)} mm² at {plain(seconds)} s: the maker's "
        "let-through decides.",
        k.source,
        working=f"√({two_places(current_a)}² × {plain(seconds)}) ÷ {plain(k.k)} = {two_places(least)} mm²",
        cpc=f"{plain(csa)} mm²",
        needed=f"{two_places(least)} mm²",
        fault_current=f"{two_places(current_a)} A",
    )


def _fuse(
    case: Case, protective: Device, csa: Decimal, zs: Decimal, rating_a: Decimal, k: ThermalK
) -> Iterator[Finding]:
    # The currents in the tables do not depend on the supply's voltage: Ia = 230 × Cmin ÷ printed Zs.
    u0_v = positive(case.supply.u0_v) or TABLES_AT_V
    times = sorted({table.seconds for table in protective.standard.tables})
    for seconds in times:
        table = fuse_table(protective, rating_a, seconds)
        if table is None or zs > table.ohm[rating_a] * u0_v / TABLES_AT_V:
            continue
        operating_a = TABLES_AT_V * case.edition.loop.c_min.number / table.ohm[rating_a]
        least = least_csa_mm2(operating_a, table.seconds, k.k)
        if least > csa:
            yield found(
                Code.CPC_THERMALLY_SMALL,
                "cpc_csa_mm2",
                Severity.LOOK_INTO,
                f"cpc {plain(csa)} mm² is under the {two_places(least)} mm² that the fuse may ask of "
                "it at this Zs.",
                k.source,
                working=f"√({two_places(operating_a)}² × {plain(table.seconds)}) ÷ {plain(k.k)} "
                f"= {two_places(least)} mm²",
                cpc=f"{plain(csa)} mm²",
                needed=f"{two_places(least)} mm²",
                fault_current=f"{two_places(operating_a)} A",
            )
        return
