"""How long circuits have gone without a full line-neutral insulation test, and what in the register would
lift that."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inspections import checking
from inspections.enums import InspectionKind, LimitationScope
from inspections.models import Board, Circuit, CircuitResult, Inspection, Installation, Limitation
from inspections.rules import edition, facts, insulation
from remedies import bridge
from remedies.enums import BETWEEN_LIVES, PRESENT
from remedies.models import ParallelLoad

DAYS_A_YEAR = 365.25
LIVE_LIVE = "ir_live_live"


@dataclass(frozen=True)
class WithoutFullTest:
    """One circuit's count.

    inspections: that passed without a full test; 0 when the last one had it. last_full: the day of the last
    full test, None when the record holds none. since: the day the count begins: of the last full test, or of
    the first inspection on record. years: from then until now. lifted_by: register entries to disconnect for
    a full test, with ``minutes`` in all and how many entries have no time recorded.
    """

    inspections: int
    last_full: date | None
    since: date | None
    years: float
    lifted_by: tuple[ParallelLoad, ...]
    minutes: int
    unknown_minutes: int

    @property
    def words(self) -> str:
        """The count in a sentence: ``3 inspections and 15 years without a full line-neutral test.``"""
        if not self.inspections:
            return ""
        visits = _so_many(self.inspections, "inspection")
        if self.last_full is None:
            return f"{visits} on record, none with a full line-neutral test."
        return f"{visits} and {_so_many(round(self.years), 'year')} without a full line-neutral test."

    @property
    def lifting_words(self) -> str:
        """What would lift it: ``6 × transformer 50 VA, above the luminaires: all listed, 40 minutes …``"""
        if not self.lifted_by:
            return ""
        entries = "; ".join(f"{load.in_brief()}, {load.place}" for load in self.lifted_by)
        return f"{entries}: {self.minutes_words}"

    @property
    def minutes_words(self) -> str:
        if self.unknown_minutes == len(self.lifted_by):
            return "time to disconnect not recorded"
        known = f"{_so_many(self.minutes, 'minute')} to disconnect"
        return f"{known}, and {self.unknown_minutes} without a time" if self.unknown_minutes else known


def _so_many(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def without_full_test(board: Board, on: date) -> dict[int, WithoutFullTest]:
    """The count of every circuit in use of a board on a day, by circuit id. Four queries."""
    return counts_of(list(board.circuits.in_use()), board.installation, on)


def counts_of(
    circuits: Sequence[Circuit], installation: Installation, on: date
) -> dict[int, WithoutFullTest]:
    """The count of each of some circuits of an installation on a day, by circuit id. Three queries."""
    visits = Inspection.objects.filter(installation=installation, started_on__lte=on)
    visits = list(visits.order_by("started_on", "pk"))
    results, loads = defaultdict(list), defaultdict(list)
    for result in CircuitResult.objects.filter(inspection__in=visits, circuit__in=circuits):
        results[result.circuit_id].append(result)
    for load in ParallelLoad.objects.current().filter(circuit__in=circuits).order_by("pk"):
        loads[load.circuit_id].append(load)
    return counts_from(circuits, installation, on, visits=visits, results=results, loads=loads)


def counts_from(
    circuits: Sequence[Circuit],
    installation: Installation,
    on: date,
    *,
    visits: Sequence[Inspection],
    results: Mapping[int, Sequence[CircuitResult]],
    loads: Mapping[int, Sequence[ParallelLoad]],
) -> dict[int, WithoutFullTest]:
    """The same from rows at hand: the visits until that day, oldest first, and by circuit id the results of
    those visits and the loads. No query."""
    rules = edition.load(installation.rule_set)
    visits = [visit for visit in visits if visit.kind != InspectionKind.FAULT]
    counts = {}
    for circuit in circuits:
        of_visit = {result.inspection_id: result for result in results.get(circuit.pk, ())}
        tested = [(visit, of_visit.get(visit.pk)) for visit in visits]
        volts = required_test(circuit, installation, rules).test_voltage_v
        counts[circuit.pk] = _count(tested, volts, _hindering(loads.get(circuit.pk, ())), on)
    return counts


def counts_under(limitation: Limitation, on: date) -> list[tuple[Circuit, WithoutFullTest]]:
    """Of a standing limitation of the live-live test: each circuit it covers that has gone without a full
    test, longest first. Empty for any other limitation."""
    if not limitation.is_standing or LIVE_LIVE not in limitation.tests:
        return []
    installation = limitation.inspection.installation
    circuits = _covered(limitation, installation)
    counts = counts_of(circuits, installation, on)
    without = [(circuit, counts[circuit.pk]) for circuit in circuits if counts[circuit.pk].inspections]
    return sorted(without, key=lambda told: -told[1].years)


def _covered(limitation: Limitation, installation: Installation) -> list[Circuit]:
    """The circuits in use that a limitation covers."""
    if limitation.scope == LimitationScope.CIRCUITS:
        return [circuit for circuit in limitation.circuits.all() if circuit.retired_on is None]
    covered = Circuit.objects.in_use().filter(board__installation=installation, is_spare=False)
    if limitation.scope == LimitationScope.BOARDS:
        covered = covered.filter(board__in=limitation.boards.all())
    return list(covered.select_related("board"))


def required_test(
    circuit: Circuit, installation: Installation, rules: edition.Edition
) -> insulation.InsulationRow:
    """The insulation test a circuit asks for when all that the test could harm is disconnected."""
    supply = facts.SupplyFacts(u0_v=Decimal(installation.nominal_voltage_v))
    row = insulation.required(checking.circuit_facts(circuit, installation), supply, rules)
    if row is None:
        raise LookupError(f"{rules} has no insulation test for {circuit}.")
    return row


def _count(
    tested: Sequence[tuple[Inspection, CircuitResult | None]],
    test_voltage_v: Decimal,
    lifted_by: tuple[ParallelLoad, ...],
    on: date,
) -> WithoutFullTest:
    """Counted from the first inspection that has anything of the circuit: a new one has missed nothing."""
    known = _from_first_result(tested)
    full = [index for index, (_, result) in enumerate(known) if _is_full(result, test_voltage_v)]
    missed = known[full[-1] + 1 :] if full else known
    last_full = known[full[-1]][0].started_on if full else None
    since = last_full or (known[0][0].started_on if known else None)
    lifted_by = lifted_by if missed else ()
    return WithoutFullTest(
        inspections=len(missed),
        last_full=last_full,
        since=since,
        years=(on - since).days / DAYS_A_YEAR if since else 0.0,
        lifted_by=lifted_by,
        minutes=sum(load.access_minutes or 0 for load in lifted_by),
        unknown_minutes=sum(load.access_minutes is None for load in lifted_by),
    )


def _from_first_result(tested):
    for index, (_, result) in enumerate(tested):
        if result is not None:
            return tested[index:]
    return []


def _is_full(result: CircuitResult | None, test_voltage_v: Decimal) -> bool:
    """Live-live measured at the full voltage; a voltage that was not recorded is taken as the full one."""
    if result is None or not result.ir_live_live.is_measured:
        return False
    return result.ir_voltage_v is None or result.ir_voltage_v >= test_voltage_v


def _hindering(loads: Iterable[ParallelLoad]) -> tuple[ParallelLoad, ...]:
    """Loads that a full live-live test would see, or that must not see it."""
    between = [load for load in loads if load.connection in BETWEEN_LIVES and load.state in PRESENT]
    must_come_out = {ruling.load for ruling in bridge.must_be_disconnected(between)}
    return tuple(load for load in between if load in must_come_out or bridge.passes_current(load))
