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
from inspections.rules.edition import Edition, ThermalK
from inspections.rules.facts import Case, CircuitFacts, positive
from inspections.rules.figures import plain, two_places
from inspections.rules.finding import Code, Finding, Severity, found


def least_csa_mm2(current_a: Decimal, seconds: Decimal, k: Decimal) -> Decimal:
    """√(I²·t) ÷ k in mm² (IEC 60364-5-54, 543.1.2). k above zero.

    >>> f"{least_csa_mm2(Decimal(230), Decimal(1), Decimal(115)):.2f}"
    '2.00'
    """
    return current_a * seconds.sqrt() / k


def k_of(circuit: CircuitFacts, edition: Edition) -> ThermalK | None:
    """k for the cpc's metal, insulation and place; None where the insulation is not said."""
    wanted = (circuit.conductor, circuit.conductor_insulation, circuit.cpc_in_cable)
    rows = (row for row in edition.thermal if (row.conductor, row.insulation, row.in_cable) == wanted)
    return next(rows, None)


def cpc_withstand(case: Case) -> Iterator[Finding]:
    """The cpc against the energy that the device lets through at the measured Zs."""
    circuit, k = case.circuit, k_of(case.circuit, case.edition)
    zs, u0_v = positive(exactly(case.readings.zs)), positive(case.supply.u0_v)
    rating_a = positive(circuit.device_rating_a)
    protective = device(case.edition, circuit.device_standard, circuit.device_type)
    if k is None or zs is None or u0_v is None or rating_a is None or protective is None:
        return
    if (multiple := protective.standard.multiples.get(protective.type)) is None:
        yield from _fuse(case, protective, rating_a, zs / u0_v, k)
    elif u0_v / zs >= multiple * rating_a:
        yield from _breaker(case, u0_v / zs, k)


def _breaker(case: Case, current_a: Decimal, k: ThermalK) -> Iterator[Finding]:
    seconds = case.edition.loop.instantaneous_s.number
    least, csa = least_csa_mm2(current_a, seconds, k.k), positive(case.circuit.cpc_csa_mm2)
    if csa is None or least <= csa:
        return
    yield found(
        Code.CPC_LET_THROUGH,
        "cpc_csa_mm2",
        Severity.NOTE,
        f"cpc {plain(csa)} mm² is below {two_places(least)} mm² at {plain(seconds)} s: check the "
        "maker’s let-through energy.",
        k.source,
        working=f"√({two_places(current_a)}² × {plain(seconds)}) ÷ {plain(k.k)} = {two_places(least)} mm²",
        cpc=f"{plain(csa)} mm²",
        needed=f"{two_places(least)} mm²",
        fault_current=f"{two_places(current_a)} A",
    )


def _fuse(
    case: Case, protective: Device, rating_a: Decimal, zs_per_volt: Decimal, k: ThermalK
) -> Iterator[Finding]:
    tables = [
        table
        for table in protective.standard.tables
        if rating_a in table.ohm and zs_per_volt <= table.ohm[rating_a] / table.u0_v
    ]
    csa = positive(case.circuit.cpc_csa_mm2)
    if not tables or csa is None or protective.type in protective.standard.other_types:
        return
    table = min(tables, key=lambda table: table.seconds)
    # The current that melts the fuse is the same at any voltage: Ia = U0 × Cmin ÷ Zs as printed.
    operating_a = table.u0_v * case.edition.loop.c_min.number / table.ohm[rating_a]
    least = least_csa_mm2(operating_a, table.seconds, k.k)
    if least <= csa:
        return
    yield found(
        Code.CPC_THERMALLY_SMALL,
        "cpc_csa_mm2",
        Severity.LOOK_INTO,
        f"cpc {plain(csa)} mm² is below the {two_places(least)} mm² this fuse may need at this Zs.",
        k.source,
        working=f"√({two_places(operating_a)}² × {plain(table.seconds)}) ÷ {plain(k.k)} "
        f"= {two_places(least)} mm²",
        cpc=f"{plain(csa)} mm²",
        needed=f"{two_places(least)} mm²",
        fault_current=f"{two_places(operating_a)} A",
    )
