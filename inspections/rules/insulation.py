"""Insulation resistance: test voltage, least value, and what the two readings of a circuit say together.

With line and neutral joined for the earth test, the insulation of a circuit is three resistances: line to
neutral, line to earth, neutral to earth. No pair of readings is impossible: either may be the lower one. But
the path through earth alone is at least four times the live-earth reading (the series sum of two resistances
is at least four times their parallel value), and from that follows where a low path must lie.
"""

from collections.abc import Iterator

from inspections.rules.edition import Edition, InsulationRow
from inspections.rules.facts import Case, CircuitFacts, SupplyFacts, positive
from inspections.rules.figures import plain
from inspections.rules.finding import Code, Finding, Severity, found
from inspections.rules.readings import Reading

COLUMNS = ("ir_live_live", "ir_live_earth")
NAMES = {"ir_live_live": "Live-live", "ir_live_earth": "Live-earth"}


def required(circuit: CircuitFacts, supply: SupplyFacts, edition: Edition) -> InsulationRow | None:
    """The test voltage and least value for the circuit; None where its nominal voltage is not known."""
    rows = [row for row in edition.insulation.rows if row.extra_low == circuit.is_selv_or_pelv]
    if circuit.is_selv_or_pelv:
        return rows[0] if rows else None
    nominal_v = positive(circuit.nominal_voltage_v) or positive(supply.u0_v)
    if nominal_v is None:
        return None
    return next((row for row in rows if row.up_to_v is None or nominal_v <= row.up_to_v), None)


def minimum(case: Case) -> Iterator[Finding]:
    """Each reading against the least value, and a passing one against the figure to look into."""
    row = required(case.circuit, case.supply, case.edition)
    if row is None:
        return
    for column in COLUMNS:
        reading: Reading = getattr(case.readings, column)
        if reading.is_measured:
            yield from _one_minimum(case, column, reading, row)


def _one_minimum(case: Case, column: str, reading: Reading, row: InsulationRow) -> Iterator[Finding]:
    least, source = row.minimum_mohm, row.source
    connected = case.edition.insulation.connected_minimum_mohm
    if case.circuit.equipment_connected and connected is not None and connected.number > least:
        least, source = connected.number, connected.source
    look_into = case.edition.insulation.look_into_mohm
    figures = {"measured": f"{reading} MΩ", "minimum": f"{plain(least)} MΩ"}
    enough = reading.at_least(least)
    if enough is None:
        yield found(
            Code.INSULATION_RANGE_SHORT,
            column,
            Severity.LOOK_INTO,
            f"{NAMES[column]} {reading} MΩ does not tell whether {plain(least)} MΩ is reached.",
            source,
            **figures,
        )
    elif not enough:
        yield found(
            Code.INSULATION_LOW,
            column,
            Severity.OUT_OF_LIMIT,
            f"{NAMES[column]} {reading} MΩ is below {plain(least)} MΩ.",
            source,
            **figures,
        )
    elif (
        look_into is not None and not case.circuit.is_selv_or_pelv and not reading.at_least(look_into.number)
    ):
        yield found(
            Code.INSULATION_LOOK_INTO,
            column,
            Severity.LOOK_INTO,
            f"{NAMES[column]} {reading} MΩ passes, but below {plain(look_into.number)} MΩ may hide a defect.",
            look_into.source,
            **figures,
            look_into_below=f"{plain(look_into.number)} MΩ",
        )
