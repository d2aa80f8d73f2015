"""Continuity: R1+R2 and R2 against the cable's length, and Zs against the sum it should be.

The widths below are common practice, no source: test instruments may be off by up to 30 % (IEC 61557), good
ones are off by under 10 %, and a cable run is known to about a tenth.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from inspections.rules import tables
from inspections.rules.facts import Case, CircuitFacts, CircuitReadings, Conductor, positive
from inspections.rules.figures import plain, two_places
from inspections.rules.finding import COMMON_PRACTICE, PLAIN_ARITHMETIC, Code, Finding, Severity, found
from inspections.rules.readings import Reading, Relation

ABOVE_LENGTH = Decimal("1.2")  # run a tenth longer than thought, instrument a tenth high
BELOW_LENGTH = Decimal("0.7")  # the table holds the largest resistance: real cable is up to a tenth under it
JOINTS_OHM = Decimal("0.05")  # terminals, and the last digits of the instrument
SUM_SHARE = Decimal("0.2")  # two instruments, each a tenth off
SUM_OHM = Decimal("0.1")  # scatter of a loop test that does not trip the RCD


@dataclass(frozen=True, slots=True)
class Worked:
    """A resistance in Ω that was worked out, with the working."""

    ohm: Decimal
    working: str


def resistance_mohm_per_m(circuit: CircuitFacts, csa_mm2: Decimal | None) -> Decimal | None:
    """Largest resistance of one conductor at 20 °C, IEC 60228; None for a size or metal not in the table."""
    if csa_mm2 is None or circuit.conductor is not Conductor.COPPER:
        return None
    known = tables.load()
    table = known.copper_flexible if circuit.flexible else known.copper_solid_or_stranded
    return table.mohm_per_m.get(csa_mm2)


def by_length(circuit: CircuitFacts) -> Worked | None:
    """R1+R2 from the length of the run: (ρ1 + ρ2) × length ÷ 1000 at the temperature of the conductors.

    Of a ring, a quarter of it, its length being all the way round. None where length or sizes are not known.

    >>> run = CircuitFacts(live_csa_mm2=Decimal("2.5"), cpc_csa_mm2=Decimal("1.5"), length_m=Decimal(22))
    >>> by_length(run)
    Worked(ohm=Decimal('0.42922'), working='(7.41 + 12.1) mΩ/m × 22 m = 0.43 Ω')
    """
    line = resistance_mohm_per_m(circuit, circuit.live_csa_mm2)
    cpc = resistance_mohm_per_m(circuit, circuit.cpc_csa_mm2)
    length_m = positive(circuit.length_m)
    if line is None or cpc is None or length_m is None:
        return None
    ohm = (line + cpc) * length_m / 1000
    working = f"({plain(line)} + {plain(cpc)}) mΩ/m × {plain(length_m)} m"
    if (celsius := circuit.conductor_temperature_c) is not None:
        ohm *= tables.temperature_factor(celsius)
        working += f" × {plain(tables.temperature_factor(celsius))} at {plain(celsius)} °C"
    if circuit.ring:
        ohm /= 4
        working += " ÷ 4"
    return Worked(ohm, f"{working} = {two_places(ohm)} Ω")


def line_and_cpc(circuit: CircuitFacts, readings: CircuitReadings) -> Worked | None:
    """R1+R2 of the circuit in Ω: as measured, else from R2 alone and the sizes, else a quarter of r1 + r2.

    From R2: R1+R2 = R2 × (S1 + S2) ÷ S1, because resistance goes as the inverse of the size. None where
    nothing was measured, or only a bound.
    """
    if (measured := exactly(readings.r1_r2)) is not None:
        return Worked(measured, f"R1+R2 {readings.r1_r2} Ω")
    live, cpc = positive(circuit.live_csa_mm2), positive(circuit.cpc_csa_mm2)
    r2_only = exactly(readings.r2_only)
    if r2_only is not None and live and cpc:
        ohm = r2_only * (live + cpc) / live
        working = (
            f"R2 {readings.r2_only} × ({plain(live)} + {plain(cpc)}) ÷ {plain(live)} = {two_places(ohm)} Ω"
        )
        return Worked(ohm, working)
    r1, r2 = exactly(readings.r1), exactly(readings.r2)
    if circuit.ring and r1 is not None and r2 is not None:
        ohm = (r1 + r2) / 4
        return Worked(ohm, f"({readings.r1} + {readings.r2}) ÷ 4 = {two_places(ohm)} Ω")
    return None


def exactly(reading: Reading) -> Decimal | None:
    """The value of a reading that is neither above nor below range, else None."""
    return reading.value if reading.relation is Relation.EQUAL else None


def cpc_open(case: Case) -> Iterator[Finding]:
    """A continuity reading over range: the conductor is not continuous, or was not tested on this range."""
    for column, name in (("r1_r2", "R1+R2"), ("r2_only", "R2")):
        reading: Reading = getattr(case.readings, column)
        if reading.relation is Relation.ABOVE:
            yield found(
                Code.CPC_OPEN,
                column,
                Severity.OUT_OF_LIMIT,
                f"{name} {reading} Ω is over range: the cpc is not proved continuous.",
                PLAIN_ARITHMETIC,
                measured=f"{reading} Ω",
            )


def against_length(case: Case) -> Iterator[Finding]:
    """Measured R1+R2 against the largest resistance of that length of cable."""
    reading, expected = case.readings.r1_r2, by_length(case.circuit)
    if expected is None:
        return
    figures = {"measured": f"{reading} Ω", "expected_at_most": f"{two_places(expected.ohm)} Ω"}
    if reading.relation is Relation.EQUAL and not reading.at_most(expected.ohm * ABOVE_LENGTH + JOINTS_OHM):
        yield found(
            Code.CONTINUITY_ABOVE_LENGTH,
            "r1_r2",
            Severity.LOOK_INTO,
            f"R1+R2 {reading} Ω is more than the cable alone ({two_places(expected.ohm)} Ω): loose "
            "joint or longer run.",
            COMMON_PRACTICE,
            working=expected.working,
            **figures,
        )
    elif reading.at_least(expected.ohm * BELOW_LENGTH - JOINTS_OHM) is False:
        yield found(
            Code.CONTINUITY_BELOW_LENGTH,
            "r1_r2",
            Severity.LOOK_INTO,
            f"R1+R2 {reading} Ω is less than the cable has ({two_places(expected.ohm)} Ω): parallel "
            "path or shorter run.",
            COMMON_PRACTICE,
            working=expected.working,
            **figures,
        )


def zs_against_sum(case: Case) -> Iterator[Finding]:
    """Measured Zs against Zs at the board plus R1+R2: too low is a parallel path, too high a loose joint."""
    zs, board = case.readings.zs, exactly(case.board.zdb_ohm)
    rest = line_and_cpc(case.circuit, case.readings)
    if board is None or rest is None or not zs.is_measured:
        return
    expected = board + rest.ohm
    allowed = max(SUM_OHM, SUM_SHARE * expected)
    working = f"{rest.working}; {plain(board)} + {two_places(rest.ohm)} = {two_places(expected)} Ω"
    figures = {
        "measured": f"{zs} Ω",
        "expected": f"{two_places(expected)} Ω",
        "tolerance": f"± {two_places(allowed)} Ω",
    }
    if zs.at_most(expected + allowed) is False:
        yield found(
            Code.ZS_ABOVE_SUM,
            "zs",
            Severity.DISAGREES,
            f"Zs {zs} Ω is above Zs at the board plus R1+R2, {two_places(expected)} Ω: a loose joint?",
            COMMON_PRACTICE,
            working=working,
            **figures,
        )
    elif zs.at_least(expected - allowed) is False:
        yield found(
            Code.ZS_BELOW_SUM,
            "zs",
            Severity.NOTE,
            f"Zs {zs} Ω is below Zs at the board plus R1+R2, {two_places(expected)} Ω: a parallel path.",
            COMMON_PRACTICE,
            working=working,
            **figures,
        )
