"""Ring final circuits: r1, rn and r2 end to end, and what R1+R2 at the points should then be.

With the line of one leg joined to the cpc of the other and the reverse, R1+R2 at a point x of the ring, 0 to
1, is [x·r1 + (1−x)·r2]·[x·r2 + (1−x)·r1] ÷ (r1 + r2): from r1·r2 ÷ (r1 + r2) at the board to (r1 + r2) ÷ 4
half way. A spur or a loose joint reads higher.
"""

from collections.abc import Iterator
from decimal import Decimal

from inspections.rules.continuity import exactly, resistance_mohm_per_m
from inspections.rules.facts import Case, positive
from inspections.rules.figures import plain, two_places
from inspections.rules.finding import COMMON_PRACTICE, PLAIN_ARITHMETIC, Code, Finding, Severity, found
from inspections.rules.readings import Reading, Relation

# Common practice, no source.
OPEN_OHM = Decimal(10)  # over a kilometre of the usual cable: no such ring is in use
CPC_SHARE, CPC_OHM = Decimal("0.15"), Decimal("0.1")  # real strands against nominal sizes; two readings
QUARTER_SHARE, QUARTER_OHM = Decimal("0.1"), Decimal("0.05")  # three readings; plugs and terminals
SUM_SHARE = Decimal("0.05")  # r1 + r2 typed as it stands comes out this near
SHORTENED = Decimal("0.8")  # a ring end to end under this share of its length has been bridged

COLUMNS = (("r1", "line"), ("rn", "neutral"), ("r2", "cpc"))


def at_point(r1: Decimal, r2: Decimal, x: Decimal) -> Decimal:
    """R1+R2 in Ω at the point x of a sound ring, 0 and 1 being the board.

    >>> f"{at_point(Decimal('0.500'), Decimal('0.835'), Decimal('0.5')):.3f}"
    '0.334'
    """
    return (x * r1 + (1 - x) * r2) * (x * r2 + (1 - x) * r1) / (r1 + r2)


def interrupted(case: Case) -> Iterator[Finding]:
    """A conductor of the ring that is not continuous from end to end."""
    if not case.circuit.ring:
        return
    for column, name in COLUMNS:
        reading: Reading = getattr(case.readings, column)
        if reading.relation is Relation.ABOVE or reading.at_most(OPEN_OHM) is False:
            yield found(
                Code.RING_OPEN,
                column,
                Severity.OUT_OF_LIMIT,
                f"{column} {reading} Ω: the {name} of the ring is open.",
                COMMON_PRACTICE,
                measured=f"{reading} Ω",
            )


def line_and_neutral(case: Case) -> Iterator[Finding]:
    """Line and neutral are the same cable and length, so they read alike."""
    within = case.edition.ring_line_neutral_within_ohm
    r1, rn = exactly(case.readings.r1), exactly(case.readings.rn)
    if not case.circuit.ring or within is None or r1 is None or rn is None or abs(r1 - rn) <= within.number:
        return
    higher, name = ("rn", "neutral") if rn > r1 else ("r1", "line")
    yield found(
        Code.RING_LINE_NEUTRAL_DIFFER,
        higher,
        Severity.DISAGREES,
        f"r1 and rn differ by {plain(abs(r1 - rn))} Ω: a loose joint in the {name}, or two cable sizes?",
        within.source,
        working=f"|{plain(r1)} − {plain(rn)}| = {plain(abs(r1 - rn))} Ω",
        r1=f"{case.readings.r1} Ω",
        rn=f"{case.readings.rn} Ω",
        within=f"{plain(within.number)} Ω",
    )


def cpc_against_line(case: Case) -> Iterator[Finding]:
    """r2 ÷ r1 goes as the sizes: r2 = r1 × live size ÷ cpc size."""
    live, cpc = positive(case.circuit.live_csa_mm2), positive(case.circuit.cpc_csa_mm2)
    r1, r2 = exactly(case.readings.r1), exactly(case.readings.r2)
    if not case.circuit.ring or live is None or cpc is None or not r1 or r2 is None:
        return
    expected = r1 * live / cpc
    allowed = max(CPC_OHM, CPC_SHARE * expected)
    working = f"{case.readings.r1} × {plain(live)} ÷ {plain(cpc)} = {two_places(expected)} Ω"
    figures = {"measured": f"{case.readings.r2} Ω", "expected": f"{two_places(expected)} Ω"}
    if r2 > expected + allowed:
        yield found(
            Code.RING_CPC_HIGH,
            "r2",
            Severity.DISAGREES,
            f"r2 {case.readings.r2} Ω is above {two_places(expected)} Ω for its size: loose joint or "
            "smaller cpc.",
            COMMON_PRACTICE,
            working=working,
            **figures,
        )
    elif r2 < expected - allowed:
        yield found(
            Code.RING_CPC_LOW,
            "r2",
            Severity.DISAGREES,
            f"r2 {case.readings.r2} Ω is below {two_places(expected)} Ω for its size: parallel path "
            "or larger cpc.",
            COMMON_PRACTICE,
            working=working,
            **figures,
        )


def quarter(case: Case) -> Iterator[Finding]:
    """The highest R1+R2 at the points against (r1 + r2) ÷ 4."""
    r1, r2 = exactly(case.readings.r1), exactly(case.readings.r2)
    measured = exactly(case.readings.r1_r2)
    if not case.circuit.ring or not r1 or not r2 or measured is None:
        return
    high, low = (r1 + r2) / 4, r1 * r2 / (r1 + r2)
    working = f"({case.readings.r1} + {case.readings.r2}) ÷ 4 = {two_places(high)} Ω"
    figures = {"measured": f"{case.readings.r1_r2} Ω", "expected": f"{two_places(high)} Ω"}
    if abs(measured - 4 * high) <= SUM_SHARE * 4 * high:
        yield found(
            Code.RING_NOT_QUARTERED,
            "r1_r2",
            Severity.DISAGREES,
            f"R1+R2 {case.readings.r1_r2} Ω is r1 + r2. Of a ring it is a quarter of that: "
            f"{two_places(high)} Ω.",
            PLAIN_ARITHMETIC,
            working=working,
            **figures,
        )
    elif measured > high * (1 + QUARTER_SHARE) + QUARTER_OHM:
        yield _too_high(case, r1, high, working, figures)
    elif measured < low * (1 - QUARTER_SHARE) - QUARTER_OHM:
        yield found(
            Code.RING_BELOW_QUARTER,
            "r1_r2",
            Severity.DISAGREES,
            f"R1+R2 {case.readings.r1_r2} Ω is below {two_places(low)} Ω: a parallel path, or legs "
            "not crossed over.",
            COMMON_PRACTICE,
            working=f"{case.readings.r1} × {case.readings.r2} ÷ ({case.readings.r1} + {case.readings.r2}) "
            f"= {two_places(low)} Ω; {working}",
            **figures,
        )


def _too_high(case: Case, r1: Decimal, high: Decimal, working: str, figures: dict[str, str]) -> Finding:
    line = resistance_mohm_per_m(case.circuit, case.circuit.live_csa_mm2)
    length_m = positive(case.circuit.length_m)
    if line is not None and length_m is not None and r1 < SHORTENED * line * length_m / 1000:
        whole = line * length_m / 1000
        return found(
            Code.RING_CROSSED,
            "r1_r2",
            Severity.DISAGREES,
            f"R1+R2 {case.readings.r1_r2} Ω is high and r1 is short for {plain(length_m)} m: "
            "the ring seems bridged across.",
            COMMON_PRACTICE,
            working=f"{working}; r1 {plain(line)} mΩ/m × {plain(length_m)} m = {two_places(whole)} Ω",
            **figures,
            r1=f"{case.readings.r1} Ω",
            r1_by_length=f"{two_places(whole)} Ω",
        )
    return found(
        Code.RING_SPUR_OR_LOOSE,
        "r1_r2",
        Severity.LOOK_INTO,
        f"R1+R2 {case.readings.r1_r2} Ω is above {two_places(high)} Ω: a spur, a loose joint or a "
        "bridged ring.",
        COMMON_PRACTICE,
        working=working,
        **figures,
    )


def readings_on_radial(case: Case) -> Iterator[Finding]:
    """End-to-end readings for a circuit that is not marked as a ring."""
    if case.circuit.ring:
        return
    for column, _ in COLUMNS:
        reading: Reading = getattr(case.readings, column)
        if reading.is_measured:
            yield found(
                Code.RING_READINGS_ON_RADIAL,
                column,
                Severity.NOTE,
                "An end-to-end reading, but the circuit is not marked as a ring. Mark it, or clear "
                "the reading.",
                PLAIN_ARITHMETIC,
                measured=f"{reading} Ω",
            )
