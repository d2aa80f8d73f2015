"""Insulation resistance: test voltage, least value, and what the two readings of a circuit say together.

With line and neutral joined for the earth test, the insulation of a circuit is three resistances: line to
neutral, line to earth, neutral to earth. No pair of readings is impossible: either may be the lower one. But
the path through earth alone is at least four times the live-earth reading (the series sum of two resistances
is at least four times their parallel value), and from that follows where a low path must lie.
"""

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from inspections.rules import tables
from inspections.rules.edition import Edition, InsulationRow
from inspections.rules.facts import BoardFacts, Case, CircuitFacts, SupplyFacts, positive
from inspections.rules.figures import plain, two_places
from inspections.rules.finding import PLAIN_ARITHMETIC, Code, Finding, Severity, found
from inspections.rules.readings import Reading, Relation

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
            f"{NAMES[column]} {reading} MΩ does not show whether {plain(least)} MΩ is reached.",
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


def voltage_used(case: Case) -> Iterator[Finding]:
    """The test voltage used against the one the circuit asks for, or may bear with equipment connected."""
    row = required(case.circuit, case.supply, case.edition)
    used_v = positive(case.readings.ir_voltage_v)
    if row is None or used_v is None:
        return
    wanted_v, source = row.test_voltage_v, row.source
    connected = case.edition.insulation.connected_test_voltage_v
    if case.circuit.equipment_connected and connected is not None and connected.number < wanted_v:
        wanted_v, source = connected.number, connected.source
        if used_v > wanted_v:
            yield found(
                Code.INSULATION_EQUIPMENT_STRESSED,
                "ir_voltage_v",
                Severity.LOOK_INTO,
                f"Tested at {plain(used_v)} V with equipment connected; that is done at {plain(wanted_v)} V. "
                "Check the equipment.",
                source,
                used=f"{plain(used_v)} V",
                wanted=f"{plain(wanted_v)} V",
            )
            return
    if used_v == wanted_v:
        return
    summary = f"Tested at {plain(used_v)} V; this circuit needs {plain(wanted_v)} V."
    if connected is not None and used_v == connected.number < wanted_v:
        summary += " The lower voltage is for equipment that stays connected: if it did, mark the circuit so."
    yield found(
        Code.INSULATION_TEST_VOLTAGE,
        "ir_voltage_v",
        Severity.LOOK_INTO if used_v < wanted_v else Severity.NOTE,
        summary,
        source,
        used=f"{plain(used_v)} V",
        wanted=f"{plain(wanted_v)} V",
    )


def voltage_not_held(case: Case) -> Iterator[Finding]:
    """A reading so low that the instrument need not have held its test voltage. Flagged, never scaled."""
    rated, used_v = tables.load().insulation_rated_current_ma, positive(case.readings.ir_voltage_v)
    if used_v is None:
        return
    held_from = used_v / rated.number / 1000
    for column in COLUMNS:
        reading: Reading = getattr(case.readings, column)
        if reading.at_least(held_from) is False:
            yield found(
                Code.INSULATION_VOLTAGE_NOT_HELD,
                column,
                Severity.NOTE,
                f"Below {plain(held_from)} MΩ the tester need not hold {plain(used_v)} V: compare with care.",
                rated.source,
                working=f"{plain(used_v)} V ÷ {plain(rated.number)} mA = {plain(held_from)} MΩ",
                measured=f"{reading} MΩ",
            )


def bounds(reading: Reading) -> tuple[Decimal, Decimal] | None:
    """Least and most that a measured reading can mean, in its own unit; infinity where it has no end."""
    if reading.value is None:
        return None
    low = Decimal(0) if reading.relation is Relation.BELOW else reading.value
    return low, Decimal("Infinity") if reading.relation is Relation.ABOVE else reading.value


def where_the_path_lies(case: Case) -> Iterator[Finding]:
    """What a low reading beside a high one proves about the place of the low path.

    Between two live conductors through earth alone there are at least 4 × the live-earth reading. A lower
    live-live reading therefore has a path of its own between live conductors. And where live-live is above
    2 × n × live-earth, n live conductors cannot share the path to earth evenly: one of them has it. Both are
    said only where readings off by the instrument's operating uncertainty leave no other way.
    """
    live, earth = bounds(case.readings.ir_live_live), bounds(case.readings.ir_live_earth)
    if live is None or earth is None:
        return
    look_into = case.edition.insulation.look_into_mohm
    row = required(case.circuit, case.supply, case.edition)
    low_below = look_into.number if look_into is not None else row.minimum_mohm if row is not None else None
    if low_below is None:
        return
    figures = {
        "live_live": f"{case.readings.ir_live_live} MΩ",
        "live_earth": f"{case.readings.ir_live_earth} MΩ",
    }
    off = tables.load().insulation_uncertainty.number
    if live[1] < low_below and live[1] * (1 + off) < 4 * earth[0] * (1 - off):
        yield found(
            Code.INSULATION_PATH_BETWEEN_LIVES,
            "ir_live_live",
            Severity.NOTE,
            "The path is between live conductors, not through earth (that would be "
            f"{plain(4 * earth[0])} MΩ "
            "or more): a connected load?",
            PLAIN_ARITHMETIC,
            working=f"4 × {plain(earth[0])} = {plain(4 * earth[0])} MΩ",
            **figures,
        )
    conductors = 4 if case.circuit.three_phase else 2
    if earth[1] < low_below and live[0] * (1 - off) > 2 * conductors * earth[1] * (1 + off):
        yield found(
            Code.INSULATION_ONE_CONDUCTOR,
            "ir_live_earth",
            Severity.NOTE,
            "The path to earth is on one live conductor. Test each to earth on its own to find which.",
            PLAIN_ARITHMETIC,
            working=f"2 × {conductors} × {plain(earth[1])} = {plain(2 * conductors * earth[1])} MΩ",
            **figures,
        )


def whole_board(board: BoardFacts, circuits: Sequence[Case], edition: Edition) -> Iterator[Finding]:
    """The board tested with its circuits connected: its own minimum, and the parallel of the circuits.

    1 ÷ R = Σ 1 ÷ Ri. A circuit whose reading is not known can only lower the whole, so it takes away the
    lower bound and leaves the upper. Each reading may be off by the instrument's operating uncertainty.
    """
    tested = [case for case in circuits if not case.circuit.is_spare]
    for column in COLUMNS:
        reading: Reading = getattr(board, column)
        whole = bounds(reading)
        if whole is None:
            continue
        yield from _board_minimum(column, reading, tested, edition)
        parts = [bounds(getattr(case.readings, column)) for case in tested]
        known = [part for part in parts if part is not None]
        if not known:
            continue
        least = parallel(low for low, _ in known) if len(known) == len(parts) else Decimal(0)
        most = parallel(high for _, high in known)
        off = tables.load().insulation_uncertainty
        figures = {"board": f"{reading} MΩ", "circuits": _range(least, most)}
        working = f"1 ÷ R = Σ 1 ÷ Ri of {len(known)} circuits; each ± {plain(off.number * 100)} %"
        if whole[1] < least * (1 - off.number) / (1 + off.number):
            yield found(
                Code.BOARD_INSULATION_BELOW_CIRCUITS,
                None,
                Severity.DISAGREES,
                f"{NAMES[column]} of the whole board, {reading} MΩ, is below its circuits in parallel: "
                "something else leaks.",
                off.source,
                working=working,
                **figures,
            )
        elif whole[0] > most * (1 + off.number) / (1 - off.number):
            yield found(
                Code.BOARD_INSULATION_ABOVE_CIRCUITS,
                None,
                Severity.DISAGREES,
                f"{NAMES[column]} of the whole board, {reading} MΩ, is above its circuits in parallel: "
                "a circuit was not connected, or one is mistyped.",
                off.source,
                working=working,
                **figures,
            )


def parallel(resistances: Iterable[Decimal]) -> Decimal:
    """Resistances in parallel: 1 ÷ Σ(1 ÷ R), infinity counting as an open circuit and 0 as a short.

    >>> f"{parallel(map(Decimal, (5, 20, 10, 20, 2))):.2f}"
    '1.11'
    """
    conductance = Decimal(0)
    for resistance in resistances:
        if resistance == 0:
            return Decimal(0)
        conductance += 1 / resistance
    return 1 / conductance if conductance else Decimal("Infinity")


def _board_minimum(
    column: str, reading: Reading, circuits: Sequence[Case], edition: Edition
) -> Iterator[Finding]:
    rows = [required(case.circuit, case.supply, edition) for case in circuits]
    least = max((row.minimum_mohm for row in rows if row is not None), default=None)
    if least is None or edition.insulation.whole_board is None or reading.at_least(least) is not False:
        return
    yield found(
        Code.BOARD_INSULATION_LOW,
        None,
        Severity.OUT_OF_LIMIT,
        f"{NAMES[column]} of the whole board, {reading} MΩ, is below {plain(least)} MΩ: test circuit "
        "by circuit.",
        edition.insulation.whole_board,
        measured=f"{reading} MΩ",
        minimum=f"{plain(least)} MΩ",
    )


def _range(least: Decimal, most: Decimal) -> str:
    if not most.is_finite():
        return f"{two_places(least)} MΩ or more"
    if least == most:
        return f"{two_places(most)} MΩ"
    return f"{two_places(least)} to {two_places(most)} MΩ"
