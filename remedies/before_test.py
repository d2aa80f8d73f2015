"""The before-you-test sheet of a board: all that the next tester must know, as plain values.

The page and the printed sheet are drawn from the same ``BeforeTest``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inspections.enums import InspectionKind, LimitationScope, StandingAnswer
from inspections.models import Board, Circuit, CircuitResult, Inspection, Limitation
from inspections.rules import edition
from inspections.rules.readings import Reading
from remedies import bridge, cautions
from remedies.enums import BETWEEN_LIVES, LoadKind
from remedies.full_test import WithoutFullTest, required_test, without_full_test
from remedies.models import ParallelLoad
from remedies.selectors import loads_by_circuit

LOWER_TEST_V = 250
HARMED_BY_FULL_VOLTAGE = (LoadKind.DRIVER, LoadKind.DIMMER, LoadKind.TIMER, LoadKind.SENSOR, LoadKind.SURGE)


def shown(readings: dict[int, str]) -> str:
    """What a tester shows at each voltage, in words; said once where it is the same.

    >>> shown({500: "0.21 to 0.31", 250: "0.24 to 0.34"}), shown({500: "0.00", 250: "0.00"})
    ('0.21 to 0.31 MΩ at 500 V, 0.24 to 0.34 MΩ at 250 V', '0.00 MΩ at 500 V or 250 V')
    """
    if len(set(readings.values())) == 1:
        (text,) = set(readings.values())
        return f"{text} MΩ at {' or '.join(f'{volts} V' for volts in readings)}"
    return ", ".join(f"{text} MΩ at {volts} V" for volts, text in readings.items())


@dataclass(frozen=True)
class LoadToDisconnect:
    """One registered load as the tester meets it.

    what, place, access: in words. minutes: to get at it and disconnect it, None where not recorded. state: in
    words. test: which test sees it, live-live or live-earth. would_read: by test voltage [V], what that test
    shows with this load alone left in, in MΩ. must_come_out: before the test at the circuit's voltage.
    what_to_do, reason: that in words, and why. holds_charge: discharge it. cautions: of this load alone.
    """

    pk: int
    what: str
    place: str
    access: str
    minutes: int | None
    is_hidden: bool
    is_suspected: bool
    is_disconnected: bool
    state: str
    connection: str
    test: str
    would_read: dict[int, str]
    must_come_out: bool
    what_to_do: str
    reason: str
    holds_charge: bool
    cautions: tuple[str, ...]

    @property
    def alone_shows(self) -> str:
        return shown(self.would_read)


@dataclass(frozen=True)
class CircuitToTest:
    """One circuit of the board and what stands across it.

    expected: by test voltage [V], the live-live reading on sound cable with all its loads left in. test_v:
    the voltage it is tested at. lower_v: the voltage to fall back to where something cannot be disconnected,
    with ``lower_why``; None where nothing asks for it. last: the last live-live reading with its date, in
    words. without_full: for how long it has gone without a full line-neutral test, and what would lift that.
    """

    pk: int
    designation: str
    description: str
    loads: tuple[LoadToDisconnect, ...]
    expected: dict[int, str]
    test_v: int
    test_why: str
    lower_v: int | None
    lower_why: str
    last: str
    without_full: str
    lifted_by: str

    @property
    def all_show(self) -> str:
        return shown(self.expected) if self.expected else ""

    @property
    def to_disconnect(self) -> tuple[LoadToDisconnect, ...]:
        return tuple(load for load in self.loads if not load.is_suspected)

    @property
    def suspected(self) -> tuple[LoadToDisconnect, ...]:
        return tuple(load for load in self.loads if load.is_suspected)


@dataclass(frozen=True)
class Untested:
    """What a limitation of the last inspection left untested here: which circuits, which tests, why, and with
    whom that was agreed."""

    where: str
    tests: str
    reason: str
    agreed: str


@dataclass(frozen=True)
class BeforeTest:
    """The sheet of one board.

    order: the order of work, one sentence a step. circuits: those with something to know, in the order of
    ways. quiet: designations of the circuits with nothing known. at_250: designation and reason of circuits
    that must, or may have to, be tested at 250 V. to_discharge, suspected, not_put_back: designation, then
    part and place. untested: what the last inspection left untested on this board. minutes: of all loads
    whose time is recorded; unknown_minutes: how many have none.
    """

    board: str
    location: str
    installation: str
    prepared_on: date
    order: tuple[str, ...]
    circuits: tuple[CircuitToTest, ...]
    quiet: tuple[str, ...]
    at_250: tuple[tuple[str, str], ...]
    to_discharge: tuple[tuple[str, str], ...]
    suspected: tuple[tuple[str, str], ...]
    not_put_back: tuple[tuple[str, str], ...]
    untested: tuple[Untested, ...]
    minutes: int
    unknown_minutes: int
    cautions: tuple[str, ...]

    @property
    def has_loads(self) -> bool:
        return any(circuit.loads for circuit in self.circuits)


ORDER = (
    "Tell those who use the place, and agree what may be switched off and for how long.",
    "Isolate at the board, lock off, and prove dead with a proved two-pole detector.",
    "Discharge every capacitor named here before touching its terminals.",
    "Disconnect each load named here and tick it; where one cannot be, join L and N and test to earth only.",
    "Take lamps out and close every switch; with two-way switching, test with the switches both ways.",
    "Test live-live and live-earth at the voltage named here, and watch whether the reading climbs.",
    "Discharge with the instrument until it shows zero, and prove it.",
    "Put back each load and tick it; what stays out is recorded as taken out, with who and when.",
    "Restore the supply, check that all works, and bring the label at the board up to date.",
)


def before_test(board: Board, on: date) -> BeforeTest:
    """What to know before testing a board, as the record stands. Circuits add no queries."""
    known = loads_by_circuit(board)
    all_circuits = list(board.circuits.in_use())
    last = _last_readings(all_circuits)
    counts = without_full_test(board, on)
    rules = edition.load(board.installation.rule_set)
    told = [
        _circuit(c, board, known.get(c.pk, []), last.get(c.pk, ""), counts[c.pk], rules) for c in all_circuits
    ]
    circuits = tuple(c for c in told if c.loads or c.test_v == LOWER_TEST_V or c.without_full)
    present = [(c, load) for c in circuits for load in c.to_disconnect]
    return BeforeTest(
        board=board.designation,
        location=board.location,
        installation=board.installation.name,
        prepared_on=on,
        order=ORDER,
        circuits=circuits,
        quiet=tuple(c.designation for c in told if c not in circuits),
        at_250=tuple(
            (c.designation, c.lower_why or c.test_why)
            for c in circuits
            if LOWER_TEST_V in (c.test_v, c.lower_v)
        ),
        to_discharge=_places((c, load) for c, load in present if load.holds_charge),
        suspected=_places((c, load) for c in circuits for load in c.suspected),
        not_put_back=_places((c, load) for c, load in present if load.is_disconnected),
        untested=_untested(board, all_circuits, on),
        minutes=sum(load.minutes or 0 for _, load in present),
        unknown_minutes=sum(load.minutes is None for _, load in present),
        cautions=cautions.GENERAL,
    )


def _places(pairs) -> tuple[tuple[str, str], ...]:
    return tuple((circuit.designation, f"{load.what}, {load.place}") for circuit, load in pairs)


def _circuit(
    circuit: Circuit,
    board: Board,
    loads: Sequence[ParallelLoad],
    last: str,
    count: WithoutFullTest,
    rules: edition.Edition,
) -> CircuitToTest:
    test_v, test_why = _test_voltage(circuit, board, rules)
    steps = tuple(_step(load, ruling, board) for load, ruling in _with_rulings(loads, test_v))
    present = [load for load in loads if not load.is_suspected]
    seen = [load for load in present if load.connection in BETWEEN_LIVES]
    lower_why = _why_lower(present, test_v)
    voltages = dict.fromkeys((test_v, LOWER_TEST_V))
    return CircuitToTest(
        pk=circuit.pk,
        designation=circuit.designation,
        description=circuit.description,
        loads=steps,
        expected={volts: bridge.expected_reading_for(seen, volts).text for volts in voltages} if seen else {},
        test_v=test_v,
        test_why=test_why,
        lower_v=LOWER_TEST_V if lower_why else None,
        lower_why=lower_why,
        last=last,
        without_full=count.words,
        lifted_by=count.lifting_words,
    )


def _with_rulings(loads, test_v):
    return zip(loads, bridge.rulings(loads, test_v), strict=True)


def _step(load: ParallelLoad, ruling: bridge.Ruling, board: Board) -> LoadToDisconnect:
    return LoadToDisconnect(
        pk=load.pk,
        what=load.in_brief(),
        place=load.place,
        access=load.access,
        minutes=load.access_minutes,
        is_hidden=load.is_hidden,
        is_suspected=load.is_suspected,
        is_disconnected=load.is_disconnected,
        state=load.get_state_display(),
        connection=load.get_connection_display(),
        test="live-live" if load.connection in BETWEEN_LIVES else "live-earth",
        would_read=_would_read(load),
        must_come_out=ruling.must_come_out,
        what_to_do="Look for it." if load.is_suspected else ruling.words,
        reason=ruling.reason,
        holds_charge=bridge.holds_charge(load),
        cautions=cautions.of_load(load, board.installation.nominal_voltage_v),
    )


def _would_read(load: ParallelLoad) -> dict[int, str]:
    to_earth = load.connection not in BETWEEN_LIVES
    return {
        volts: bridge.expected_reading_for([load], volts, to_earth=to_earth).text
        for volts in (bridge.DEFAULT_TEST_V, LOWER_TEST_V)
    }


def _test_voltage(circuit: Circuit, board: Board, rules: edition.Edition) -> tuple[int, str]:
    """The voltage of the insulation test, and where that is said."""
    if circuit.equipment_stays_connected and rules.insulation.connected_test_voltage_v is not None:
        connected = rules.insulation.connected_test_voltage_v
        return int(connected.number), "Equipment stays connected: test the live conductors joined, to earth"
    row = required_test(circuit, board.installation, rules)
    return int(row.test_voltage_v), f"{row.source.publication} {row.source.clause}".strip()


def _why_lower(present: Sequence[ParallelLoad], test_v: int) -> str:
    """Why a circuit may have to be tested at 250 V: something on it that the full voltage harms."""
    harmed = [load for load in present if load.kind in HARMED_BY_FULL_VOLTAGE]
    if test_v <= LOWER_TEST_V or not harmed:
        return ""
    named = "; ".join(f"{load.in_brief()}, {load.place}" for load in harmed)
    return f"unless disconnected: {named}"


def _last_readings(circuits: Sequence[Circuit]) -> dict[int, str]:
    """The latest live-live entry of each circuit, with the day, in words."""
    results = (
        CircuitResult.objects.filter(circuit__in=circuits)
        .exclude(ir_live_live="")
        .select_related("inspection")
        .order_by("inspection__started_on", "inspection_id")
    )
    return {result.circuit_id: _in_words(result.ir_live_live, result) for result in results}


def _in_words(reading: Reading, result: CircuitResult) -> str:
    volts = f" at {result.ir_voltage_v} V" if result.ir_voltage_v else ""
    measured = f" MΩ{volts}" if reading.is_measured else ""
    return f"{reading}{measured}, {result.inspection.started_on:%-d %b %Y}"


def _untested(board: Board, circuits: Sequence[Circuit], on: date) -> tuple[Untested, ...]:
    """The limitations of the last inspection that touch this board."""
    last = (
        Inspection.objects.filter(installation=board.installation_id, started_on__lte=on)
        .exclude(kind=InspectionKind.FAULT)
        .first()
    )
    if last is None:
        return ()
    limitations = last.limitations.exclude(standing_answer=StandingAnswer.LIFTED).prefetch_related(
        "boards", "circuits"
    )
    here = {circuit.pk: circuit for circuit in circuits}
    told = ((limitation, _where(limitation, board, here)) for limitation in limitations)
    return tuple(
        Untested(
            where=where,
            tests=", ".join(limitation.test_headings),
            reason=limitation.reason,
            agreed=_agreed(limitation),
        )
        for limitation, where in told
        if where
    )


def _where(limitation: Limitation, board: Board, here: dict[int, Circuit]) -> str:
    """What of this board a limitation covers, in words; empty when nothing."""
    if limitation.scope == LimitationScope.CIRCUITS:
        return ", ".join(circuit.designation for circuit in limitation.circuits.all() if circuit.pk in here)
    whole = limitation.scope == LimitationScope.WHOLE or board in limitation.boards.all()
    return "all circuits" if whole else ""


def _agreed(limitation: Limitation) -> str:
    if not limitation.agreed_with:
        return ""
    when = f", {limitation.agreed_on:%-d %b %Y}" if limitation.agreed_on else ""
    return f"agreed with {limitation.agreed_with}{when}"
