"""Prospective fault current: the largest, at the board, against breaking capacity; the least, far out."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from inspections.rules.continuity import exactly
from inspections.rules.devices import device
from inspections.rules.edition import Edition
from inspections.rules.facts import Case, Earthing, SupplyFacts, positive
from inspections.rules.figures import plain, two_places
from inspections.rules.finding import (
    COMMON_PRACTICE,
    PLAIN_ARITHMETIC,
    Code,
    Finding,
    Severity,
    Source,
    found,
)
from inspections.rules.readings import Reading

# Common practice, no source: two loop tests at one place, each a tenth off, and the mains up or down.
BELOW_SHARE, ABOVE_SHARE = Decimal("0.75"), Decimal("1.5")
IN_AMPERES = Decimal(1000)  # no device is made for 1000 kA
MOST_KA = Decimal(999999)  # the largest that a reading is made of: beyond it every device is too weak


@dataclass(frozen=True, slots=True)
class FaultCurrent:
    """A prospective fault current in kA with its working."""

    ka: Decimal
    working: str


def largest(u0_v: Decimal, impedance_ohm: Decimal, *, three_phase: bool, edition: Edition) -> FaultCurrent:
    """U0 ÷ Z in kA; on three phases twice that, where line to line was not measured (IET Guidance Note 3).

    Both arguments above zero.

    >>> from inspections.rules.edition import load
    >>> largest(Decimal(230), Decimal("0.3"), three_phase=False, edition=load("bs7671_2018_a2_2022")).working
    '230 ÷ 0.3 = 0.77 kA'
    """
    ka = u0_v / impedance_ohm / 1000
    working = f"{plain(u0_v)} ÷ {plain(impedance_ohm)}"
    if three_phase and edition.fault_current is not None:
        ka *= edition.fault_current.three_phase_factor.number
        working += f" × {plain(edition.fault_current.three_phase_factor.number)}"
    return FaultCurrent(ka, f"{working} = {two_places(ka)} kA")


def least(u0_v: Decimal, zs_ohm: Decimal, edition: Edition) -> FaultCurrent:
    """The least earth fault current, at the far end: U0 × Cmin ÷ Zs in kA. Both arguments above zero."""
    c_min = edition.loop.c_min.number
    ka = u0_v * c_min / zs_ohm / 1000
    return FaultCurrent(ka, f"{plain(u0_v)} × {plain(c_min)} ÷ {plain(zs_ohm)} = {two_places(ka)} kA")


def at_board(case: Case) -> tuple[Reading, str] | None:
    """Ipf at the board as measured, else worked out from Zs at the board; None where neither is known."""
    if case.board.ipf_ka.is_measured:
        return case.board.ipf_ka, f"Ipf {case.board.ipf_ka} kA as measured"
    u0_v, zdb = positive(case.supply.u0_v), positive(exactly(case.board.zdb_ohm))
    if u0_v is None or zdb is None:
        return None
    current = largest(u0_v, zdb, three_phase=case.board.three_phase, edition=case.edition)
    return Reading.parse(two_places(min(current.ka, MOST_KA))), current.working


def breaking_capacity(case: Case) -> Iterator[Finding]:
    """Ipf at the board against the rated breaking capacity of the device, as typed or by its standard."""
    limits, typed = case.edition.fault_current, positive(case.circuit.breaking_capacity_ka)
    if limits is None or case.circuit.is_spare:
        return
    if typed is not None and typed >= IN_AMPERES:
        yield found(
            Code.BREAKING_CAPACITY_IN_AMPERES,
            "breaking_capacity_ka",
            Severity.DISAGREES,
            f"Breaking capacity {plain(typed)} kA seems to be in amperes: {plain(typed / 1000)} kA?",
            COMMON_PRACTICE,
            typed=f"{plain(typed)} kA",
        )
        return
    capacity, source = (typed, limits.breaking_capacity) if typed is not None else _by_standard(case)
    prospective = at_board(case)
    if capacity is None or prospective is None:
        return
    current, working = prospective
    if current.at_most(capacity) is False:
        yield found(
            Code.BREAKING_CAPACITY_SHORT,
            "breaking_capacity_ka",
            Severity.OUT_OF_LIMIT,
            f"Ipf {current} kA is above the {plain(capacity)} kA this device breaks, unless one "
            "upstream backs it up.",
            source,
            working=working,
            prospective=f"{current} kA",
            breaking_capacity=f"{plain(capacity)} kA",
        )


def _by_standard(case: Case) -> tuple[Decimal | None, Source]:
    circuit = case.circuit
    protective = device(case.edition, circuit.device_standard, circuit.device_type)
    if protective is None:
        return None, COMMON_PRACTICE
    standard = protective.standard
    capacity = standard.breaking_capacity_ka.get(protective.type, standard.rated_breaking_capacity_ka)
    return capacity, standard.breaking_capacity_source


def supply(facts: SupplyFacts, edition: Edition) -> Iterator[Finding]:
    """Ipf at the origin against U0 ÷ Ze: never well below it, and with TN-C-S about the same."""
    u0_v, ze = positive(facts.u0_v), positive(exactly(facts.ze_ohm))
    if u0_v is None or ze is None or not facts.ipf_ka.is_measured:
        return
    earth = largest(u0_v, ze, three_phase=False, edition=edition)
    figures = {"Ipf": f"{facts.ipf_ka} kA", "earth_fault": f"{two_places(earth.ka)} kA"}
    if facts.ipf_ka.at_least(earth.ka * BELOW_SHARE) is False:
        yield found(
            Code.FAULT_CURRENT_BELOW_EARTH_FAULT,
            None,
            Severity.DISAGREES,
            f"Ipf {facts.ipf_ka} kA is below the earth fault current by Ze, {two_places(earth.ka)} "
            "kA. Ipf is the larger.",
            PLAIN_ARITHMETIC,
            working=earth.working,
            **figures,
        )
        return
    if facts.earthing is not Earthing.TN_C_S:
        return  # elsewhere line to neutral may rightly be far below line to earth
    most = largest(u0_v, ze, three_phase=facts.three_phase, edition=edition)
    figures["expected"] = f"{two_places(most.ka)} kA"
    if facts.ipf_ka.at_most(most.ka * ABOVE_SHARE) is False:
        yield found(
            Code.FAULT_CURRENT_ABOVE_LOOP,
            None,
            Severity.DISAGREES,
            f"Ipf {facts.ipf_ka} kA is well above {two_places(most.ka)} kA by Ze; on TN-C-S the two "
            "go together.",
            PLAIN_ARITHMETIC,
            working=most.working,
            **figures,
        )
    elif facts.three_phase and facts.ipf_ka.at_least(most.ka * BELOW_SHARE) is False:
        yield found(
            Code.FAULT_CURRENT_ONE_PHASE_ONLY,
            None,
            Severity.LOOK_INTO,
            f"Ipf {facts.ipf_ka} kA looks single-phase; between phases it is about {two_places(most.ka)} kA.",
            PLAIN_ARITHMETIC,
            working=most.working,
            **figures,
        )
