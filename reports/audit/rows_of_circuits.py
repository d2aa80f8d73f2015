"""Rows of the audit: the circuits of a place that go without a full test, or whose last reading nothing
explains."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache

from inspections.enums import LimitationScope
from inspections.models import Circuit, CircuitResult, Inspection, Instrument
from inspections.rules.readings import Reading
from inspections.rules.rule_file import EditionError
from remedies import bridge
from remedies.explained import AlsoKnown, explain_reading, those_in_circuit
from remedies.full_test import LIVE_LIVE, WithoutFullTest, counts_from
from remedies.models import ParallelLoad
from reports.audit.batch import Place
from reports.audit.tables import CircuitAudit, Lift

_NONE_MISSED = WithoutFullTest(0, None, None, 0.0, (), 0, 0)


def circuit_rows(place: Place) -> Iterator[CircuitAudit]:
    """A row for each circuit that one of the two questions finds."""
    missed = {pk: count for pk, count in _counts(place).items() if count.inspections}
    reasons = _reasons(place) if missed else {}
    unexplained = _unexplained(place)
    for pk in sorted({*missed, *unexplained}):
        count = missed.get(pk, _NONE_MISSED)
        told = unexplained.get(pk)
        yield CircuitAudit(
            **place.of_firm,
            circuit_id=pk,
            board_id=place.circuits[pk].board_id,
            place=place.name,
            without=count.inspections,
            since=count.since,
            last_full=count.last_full,
            reason=reasons.get(pk, ""),
            in_the_way=len(count.lifted_by),
            minutes=count.minutes,
            lift=_lift(count),
            **(told.columns() if told else {}),
        )


def _counts(place: Place) -> dict[int, WithoutFullTest]:
    results = {pk: [result for _, result in place.batch.results[pk]] for pk in place.circuits}
    try:
        return counts_from(
            list(place.circuits.values()),
            place.installation,
            place.on,
            visits=place.visits,
            results=results,
            loads=place.loads,
        )
    except (EditionError, LookupError):
        return {}  # held to an edition that is not there, or has no such test: nothing can be counted


def _reasons(place: Place) -> dict[int, str]:
    """Why, by circuit id: of the last inspection that has a limitation of the live-live test over it."""
    reasons: dict[int, str] = {}
    for tests, scope, reason, board, circuit in place.batch.limitations[place.installation.pk]:
        if LIVE_LIVE not in tests:
            continue
        for pk, one in place.circuits.items():
            if (
                scope == LimitationScope.WHOLE
                or (scope == LimitationScope.BOARDS and one.board_id == board)
                or (scope == LimitationScope.CIRCUITS and pk == circuit)
            ):
                reasons[pk] = " ".join(reason.split())[:200]
    return reasons


def _lift(count: WithoutFullTest) -> Lift:
    if not count.lifted_by:
        return Lift.NOTHING
    return Lift.UNTIMED if count.unknown_minutes else Lift.TIMED


@dataclass(frozen=True)
class _Unexplained:
    """The last reading of a circuit, and the day the unbroken run of such readings began."""

    visit: Inspection
    result: CircuitResult
    summary: str
    since: date

    def columns(self) -> dict:
        return {
            "reading": self.result.ir_live_live.text,
            "volts": self.result.ir_voltage_v,
            "read_on": self.visit.started_on,
            "unexplained_since": self.since,
            "summary": self.summary[:300],
        }


def _unexplained(place: Place) -> dict[int, _Unexplained]:
    """By circuit id: the last readings that nothing explains and that nobody followed up."""
    found = {}
    for pk in place.circuits:
        run = list(_last_run(place, pk))
        if run:
            last = _Unexplained(*run[0], since=run[-1][0].started_on)
            if not _is_followed_up(place, pk, last.visit.started_on):
                found[pk] = last
    return found


def _last_run(place: Place, circuit: int) -> Iterator[tuple[Inspection, CircuitResult, str]]:
    """The unexplained readings at the end of a circuit's, last first; none where the last is explained."""
    for visit, result in reversed(place.batch.results[circuit]):
        if result.ir_live_live.is_measured:
            why = _why_unexplained(place, visit, result)
            if not why:
                return
            yield visit, result, why


def _is_followed_up(place: Place, circuit: int, read_on: date) -> bool:
    """Whether someone wrote of a circuit since: an observation at that visit or later, or an earlier one
    still open; a load entered since that visit, or suspected."""
    observed, loads = place.batch.observed[circuit], place.loads.get(circuit, ())
    return any(on >= read_on or put_right is None for on, put_right in observed) or any(
        load.is_suspected or load.since >= read_on for load in loads
    )


def _why_unexplained(place: Place, visit: Inspection, result: CircuitResult) -> str:
    """In a sentence; empty where a reading is explained. Of a circuit that never had a load the answer hangs
    on the reading and the tester alone, and is worked out once."""
    tester = bridge.insulation_tester_of(visit)
    loads = place.loads.get(result.circuit_id)
    if loads:
        return _summary(result, those_in_circuit(loads, visit, place.batch.stays), tester)
    return _alone(
        result.ir_live_live.text,
        result.ir_voltage_v,
        tester.insulation_current_ma if tester else None,
        tester.insulation_range_top_mohm if tester else None,
    )


@lru_cache(maxsize=65_536)
def _alone(text: str, volts: int | None, current_ma: Decimal | None, range_top: int | None) -> str:
    result = CircuitResult(circuit=Circuit(), ir_live_live=Reading.parse(text), ir_voltage_v=volts)
    tester = None
    if current_ma is not None or range_top is not None:
        tester = Instrument(insulation_current_ma=current_ma, insulation_range_top_mohm=range_top)
    return _summary(result, (), tester)


def _summary(result: CircuitResult, across: Sequence[ParallelLoad], tester: Instrument | None) -> str:
    one = explain_reading(result, across, AlsoKnown(tester=tester))
    return one.summary if one and one.is_unexplained else ""
