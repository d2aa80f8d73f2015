"""The audit's rows of one place, worked out from its record, and of every place whose record has changed."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import lru_cache

from django.db import transaction

from inspections.enums import Code, InspectionKind, LimitationScope, StandingAnswer
from inspections.models import (
    Board,
    Circuit,
    CircuitResult,
    Firm,
    Inspection,
    Installation,
    Instrument,
    Limitation,
    Observation,
)
from inspections.rules.edition import EditionError
from inspections.rules.readings import Reading
from remedies import bridge
from remedies.cautions import is_x_class_to_earth
from remedies.enums import PRESENT, Connection
from remedies.explained import Explained, explanations_of
from remedies.full_test import LIVE_LIVE, WithoutFullTest, counts_of
from remedies.labels import LabelStatus, circuits_not_on_their_label, label_statuses
from remedies.models import ParallelLoad
from remedies.physics import ratings
from remedies.physics.checked import InputError
from remedies.physics.operating import Conditions, Draw, on_state
from reports.audit.over_years import over_years
from reports.audit.tables import (
    AuditMark,
    CircuitAudit,
    Due,
    DueAudit,
    Label,
    Lift,
    LoadAudit,
    PlaceAudit,
    TrendAudit,
    YearAudit,
)

PLACES_AT_ONCE = 200  # worked out while a person waits; more are left to ``manage.py work_out_audit``
_BATCH = 50
_HIGHEST = 1.1  # BS EN 50160 and BS 7671 Appendix 2: the supply may lie 10 % above nominal
_OPEN_CODES = {Code.C1: Due.C1, Code.C2: Due.C2, Code.FI: Due.FI}


@dataclass
class Facts:
    """Rows to be written."""

    places: list[PlaceAudit] = field(default_factory=list)
    loads: list[LoadAudit] = field(default_factory=list)
    circuits: list[CircuitAudit] = field(default_factory=list)
    due: list[DueAudit] = field(default_factory=list)
    years: list[YearAudit] = field(default_factory=list)
    trends: list[TrendAudit] = field(default_factory=list)


def bring_up_to_date(firm: Firm, on: date, limit: int | None = PLACES_AT_ONCE) -> int:
    """Work out what changed since the last time, of ``limit`` places at most; returns how many are left."""
    if AuditMark.objects.filter(firm_id=firm.pk).exists():
        _work_out_instruments(firm)
    marked = _marked(firm)
    now = marked if limit is None else marked[:limit]
    for first in range(0, len(now), _BATCH):
        _work_out(now[first : first + _BATCH], on)
    return len(marked) - len(now)


def _marked(firm: Firm) -> list[int]:
    of_firm = Installation.objects.for_firm(firm).filter(
        pk__in=AuditMark.objects.filter(installation_id__isnull=False).values("installation_id")
    )
    return list(of_firm.order_by("pk").values_list("pk", flat=True))


@transaction.atomic
def _work_out(places: Sequence[int], on: date) -> None:
    # The rows are held so that two who ask at once do not both write them; the marks go before the record is
    # read, so that a change that comes meanwhile is marked anew.
    installations = list(
        Installation.objects.select_for_update(of=("self",), no_key=True)
        .filter(pk__in=places)
        .select_related("client")
        .order_by("pk")
    )
    AuditMark.objects.filter(installation_id__in=places).delete()
    facts = Facts()
    batch = _Batch(installations, on)
    for installation in installations:
        _Place(installation, batch).add_to(facts)
    for model, rows in (
        (PlaceAudit, facts.places),
        (LoadAudit, facts.loads),
        (CircuitAudit, facts.circuits),
        (DueAudit, facts.due),
        (YearAudit, facts.years),
        (TrendAudit, facts.trends),
    ):
        model.objects.filter(installation__in=places).delete()
        model.objects.bulk_create(rows, batch_size=500)


@transaction.atomic
def _work_out_instruments(firm: Firm) -> None:
    AuditMark.objects.filter(firm_id=firm.pk).delete()
    of_instruments = DueAudit.objects.filter(firm=firm, what=Due.CALIBRATION)
    of_instruments.delete()
    instruments = Instrument.objects.filter(
        firm=firm, retired_on__isnull=True, calibrated_until__isnull=False
    )
    DueAudit.objects.bulk_create(
        DueAudit(
            firm=firm,
            place="",
            what=Due.CALIBRATION,
            on=instrument.calibrated_until,
            subject=f"{instrument} {instrument.group}".strip(),
            target=instrument.pk,
        )
        for instrument in instruments
    )


class _Batch:
    """The records of some installations, read together: the number of statements does not grow with them."""

    def __init__(self, installations: Sequence[Installation], on: date):
        of_place = {installation.pk: installation for installation in installations}
        self.on = on
        self.boards: dict[int, list[Board]] = defaultdict(list)
        self.circuits: dict[int, dict[int, Circuit]] = defaultdict(dict)
        self.loads: dict[int, list[ParallelLoad]] = defaultdict(list)
        boards = {board.pk: board for board in Board.objects.in_use().filter(installation__in=of_place)}
        for board in boards.values():
            board.installation = of_place[board.installation_id]
            self.boards[board.installation_id].append(board)
        circuits = Circuit.objects.in_use().filter(
            board__installation__in=of_place, board__retired_on__isnull=True
        )
        for circuit in circuits.order_by("pk"):
            circuit.board = boards[circuit.board_id]
            self.circuits[circuit.board.installation_id][circuit.pk] = circuit
        there = {pk: circuit for found in self.circuits.values() for pk, circuit in found.items()}
        loads = ParallelLoad.objects.filter(
            circuit__board__installation__in=of_place,
            circuit__retired_on__isnull=True,
            circuit__board__retired_on__isnull=True,
        )
        for load in loads.order_by("pk"):
            load.circuit = there[load.circuit_id]
            self.loads[load.circuit_id].append(load)
        self.seen = {
            volts: set(loads.seen_live_live(volts).values_list("pk", flat=True)) for volts in (250, 500)
        }
        entered = ParallelLoad.history.filter(id__in=loads.order_by().values("pk"), history_type="+")
        self.entered_by = dict(entered.values_list("id", "history_user_id"))
        self.statuses = label_statuses(list(boards.values()))
        with_loads = {load.circuit.board_id for found in self.loads.values() for load in found}
        self.not_told = set(circuits_not_on_their_label([boards[pk] for pk in with_loads]))
        self._read_visits(of_place, there)

    def _read_visits(self, of_place, there):
        self.visits: dict[int, Inspection] = {}
        self.limitations: dict[int, list[tuple]] = defaultdict(list)
        self.results: dict[int, list[tuple[Inspection, CircuitResult]]] = defaultdict(list)
        self.observed: dict[int, list[tuple[date, date | None]]] = defaultdict(list)
        self.open_codes: dict[int, list[tuple]] = defaultdict(list)
        visits = Inspection.objects.filter(installation__in=of_place, started_on__lte=self.on)
        for visit in visits.prefetch_related("instruments").order_by("started_on", "pk"):
            visit.installation = of_place[visit.installation_id]
            self.visits[visit.pk] = visit
        results = CircuitResult.objects.filter(inspection__in=self.visits)
        for result in results.order_by("inspection__started_on", "inspection"):
            if result.circuit_id in there:
                self.results[result.circuit_id].append((self.visits[result.inspection_id], result))
        limitations = (
            Limitation.objects.filter(inspection__installation__in=of_place)
            .exclude(inspection__kind=InspectionKind.FAULT)
            .exclude(standing_answer=StandingAnswer.LIFTED)
            .order_by("inspection__started_on", "inspection", "pk")
        )
        for place, *rest in limitations.values_list(
            "inspection__installation", "tests", "scope", "reason", "boards", "circuits"
        ):
            self.limitations[place].append(rest)
        observations = Observation.objects.filter(inspection__installation__in=of_place).order_by("pk")
        for pk, place, circuit, seen_on, put_right, code, text in observations.values_list(
            "pk",
            "inspection__installation",
            "circuit",
            "inspection__started_on",
            "put_right_on",
            "code",
            "text",
        ):
            self.observed[circuit].append((seen_on, put_right))
            if put_right is None and code in _OPEN_CODES:
                self.open_codes[place].append((_OPEN_CODES[code], seen_on, text, pk))


class _Place:
    """One installation of a batch."""

    def __init__(self, installation: Installation, batch: _Batch):
        self.installation, self.batch, self.on = installation, batch, batch.on
        self.of_firm = {
            "firm_id": installation.client.firm_id,
            "client_id": installation.client_id,
            "installation_id": installation.pk,
        }
        self.boards = batch.boards[installation.pk]
        self.circuits = batch.circuits[installation.pk]
        self.loads = {pk: batch.loads[pk] for pk in self.circuits if pk in batch.loads}

    def add_to(self, facts: Facts) -> None:
        """Work everything out."""
        facts.places.append(
            PlaceAudit(**self.of_firm, name=self.installation.name, client_name=self.installation.client.name)
        )
        facts.loads += self._load_rows()
        facts.circuits += self._circuit_rows()
        facts.due += self._due_rows()
        with suppress(EditionError):  # held to an edition that is not there: nothing can be compared
            years, trends = over_years(self.installation, self.circuits, self.batch.results, self.of_firm)
            facts.years += years
            facts.trends += trends

    def _load_rows(self) -> Iterator[LoadAudit]:
        for load in (load for loads in self.loads.values() for load in loads):
            why = beyond_rating(load, self.installation)
            yield LoadAudit(
                **self.of_firm,
                load_id=load.pk,
                board_id=load.circuit.board_id,
                circuit_id=load.circuit_id,
                place=self.installation.name,
                part=part_in_words(load),
                kind=load.kind,
                capacitor_class=load.capacitor_class,
                connection=load.connection,
                state=load.state,
                origin=load.origin,
                is_hidden=load.is_hidden,
                since=load.since,
                entered_by_id=self.batch.entered_by.get(load.pk),
                label=_label(load, self.batch),
                seen_at_500=load.pk in self.batch.seen[500],
                seen_at_250=load.pk in self.batch.seen[250],
                x_to_earth=is_x_class_to_earth(load),
                beyond_rating=why[:300],
                is_beyond_rating=bool(why),
            )

    def _circuit_rows(self) -> Iterator[CircuitAudit]:
        try:
            counts = counts_of(list(self.circuits.values()), self.installation, self.on)
        except (EditionError, LookupError):
            counts = {}  # held to an edition that is not there, or has no such test: nothing can be counted
        missed = {pk: count for pk, count in counts.items() if count.inspections}
        reasons = self._reasons() if missed else {}
        unexplained = self._unexplained()
        for pk in sorted({*missed, *unexplained}):
            circuit = self.circuits[pk]
            count = missed.get(pk, _NONE_MISSED)
            told = unexplained.get(pk)
            yield CircuitAudit(
                **self.of_firm,
                circuit_id=pk,
                board_id=circuit.board_id,
                place=self.installation.name,
                without=count.inspections,
                since=count.since,
                last_full=count.last_full,
                reason=reasons.get(pk, ""),
                in_the_way=len(count.lifted_by),
                minutes=count.minutes,
                lift=_lift(count),
                **(told.columns() if told else {}),
            )

    def _reasons(self) -> dict[int, str]:
        """Why, by circuit id: of the last inspection that has a limitation of the live-live test over it."""
        reasons: dict[int, str] = {}
        for tests, scope, reason, board, circuit in self.batch.limitations[self.installation.pk]:
            if LIVE_LIVE not in tests:
                continue
            for pk, one in self.circuits.items():
                if (
                    scope == LimitationScope.WHOLE
                    or (scope == LimitationScope.BOARDS and one.board_id == board)
                    or (scope == LimitationScope.CIRCUITS and pk == circuit)
                ):
                    reasons[pk] = " ".join(reason.split())[:200]
        return reasons

    def _unexplained(self) -> dict[int, "_Unexplained"]:
        answers = _Answers(self.loads)
        runs = {}
        for pk in self.circuits:
            read = [pair for pair in self.batch.results[pk] if pair[1].ir_live_live.is_measured]
            run = list(_last_run(read, answers))
            if run:
                runs[pk] = _Unexplained(*run[0], since=run[-1][0].started_on)
        return self._not_followed_up(runs) if runs else {}

    def _not_followed_up(self, runs: dict[int, "_Unexplained"]) -> dict[int, "_Unexplained"]:
        """Those of which nobody wrote anything since: no observation of the circuit at that visit or later,
        nor an earlier one still open; no load entered since that visit; none suspected."""
        return {
            pk: run
            for pk, run in runs.items()
            if not any(
                on >= run.visit.started_on or put_right is None for on, put_right in self.batch.observed[pk]
            )
            and not any(
                load.is_suspected or load.since >= run.visit.started_on for load in self.loads.get(pk, ())
            )
        }

    def _due_rows(self) -> Iterator[DueAudit]:
        due = self.installation.next_due_on
        if due:
            yield self._due(Due.INSPECTION, due, "The whole installation", self.installation.pk)
        for board in self.boards:
            yield from self._label_due(board, self.batch.statuses[board.pk])
        for what, seen_on, text, pk in self.batch.open_codes[self.installation.pk]:
            yield self._due(what, seen_on, text, pk)

    def _label_due(self, board: Board, status: LabelStatus) -> Iterator[DueAudit]:
        what, on = Due.LABEL_MISSING, None
        if status.waiting and not status.waiting_is_out_of_date:
            what, on = Due.LABEL_WAITS, status.waiting.printed_at.date()
        elif not status.is_out_of_date:
            if status.stuck is None or not status.has_loads:
                return
            what, on = Due.LABEL_CHECK, self.installation.next_due_on
        elif status.stuck:
            what, on = Due.LABEL_OLD, self._last_change(board)
        else:
            on = self._first_load(board)
        if on:
            yield self._due(what, on, f"{board}", board.pk)

    def _first_load(self, board: Board) -> date | None:
        return min((load.since for load in self._present(board)), default=None)

    def _last_change(self, board: Board) -> date | None:
        changed = [
            load.state_since
            for loads in self.loads.values()
            for load in loads
            if load.circuit.board_id == board.pk
        ]
        return max(changed, default=None)

    def _present(self, board: Board) -> Iterator[ParallelLoad]:
        for loads in self.loads.values():
            yield from (load for load in loads if load.circuit.board_id == board.pk and load.state in PRESENT)

    def _due(self, what: Due, on: date, subject: str, target: int) -> DueAudit:
        return DueAudit(
            **self.of_firm,
            place=self.installation.name,
            what=what,
            on=on,
            subject=" ".join(subject.split())[:200],
            target=target,
        )


_NONE_MISSED = WithoutFullTest(0, None, None, 0.0, (), 0, 0)


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


class _Answers:
    """What explains a reading. Of a circuit that never had a load the answer hangs on the reading and the
    tester alone, and is worked out once; of the others, once a visit."""

    def __init__(self, loads: Mapping[int, Sequence[ParallelLoad]]):
        self._with_loads = {pk for pk, rows in loads.items() if rows}
        self._of_visit: dict[int, dict[int, Explained]] = {}

    def unexplained(self, visit: Inspection, result: CircuitResult) -> str:
        """Why a reading is unexplained, in a sentence; empty where it is explained."""
        if result.circuit_id not in self._with_loads:
            tester = bridge.insulation_tester_of(visit)
            return _alone(
                result.ir_live_live.text,
                result.ir_voltage_v,
                tester.insulation_current_ma if tester else None,
                tester.insulation_range_top_mohm if tester else None,
            )
        if visit.pk not in self._of_visit:
            found = explanations_of(visit, self._with_loads)
            self._of_visit[visit.pk] = {one.circuit.pk: one for one in found}
        one = self._of_visit[visit.pk].get(result.circuit_id)
        return one.summary if one and one.is_unexplained else ""


@lru_cache(maxsize=65_536)
def _alone(text: str, volts: int | None, current_ma: Decimal | None, range_top: int | None) -> str:
    result = CircuitResult(ir_live_live=Reading.parse(text), ir_voltage_v=volts)
    tester = None
    if current_ma is not None or range_top is not None:
        tester = Instrument(insulation_current_ma=current_ma, insulation_range_top_mohm=range_top)
    found = bridge.explanation_for(result, (), tester)
    one = Explained(None, result, (), found) if found else None
    return one.summary if one and one.is_unexplained else ""


def _last_run(
    readings: Sequence[tuple[Inspection, CircuitResult]], answers: _Answers
) -> Iterator[tuple[Inspection, CircuitResult, str]]:
    """The unexplained readings at the end of those given, last first; none where the last is explained."""
    for visit, result in reversed(readings):
        why = answers.unexplained(visit, result)
        if not why:
            return
        yield visit, result, why


def _label(load: ParallelLoad, batch: _Batch) -> str:
    if load.state not in PRESENT:
        return Label.NOT_ASKED
    if batch.statuses[load.circuit.board_id].stuck is None:
        return Label.NONE
    return Label.OUT_OF_DATE if load.circuit_id in batch.not_told else Label.UP_TO_DATE


def _lift(count: WithoutFullTest) -> Lift:
    if not count.lifted_by:
        return Lift.NOTHING
    return Lift.UNTIMED if count.unknown_minutes else Lift.TIMED


def part_in_words(part) -> str:
    """Kind, class and values of a load or of a usual part, without a count: what a recall would name."""
    return " ".join(filter(None, (part.get_kind_display(), part.capacitor_class, part.value_text())))[:160]


def beyond_rating(load: ParallelLoad, installation: Installation) -> str:
    """Why a load is used beyond the rating it is marked with, with the working; empty where it is not, where
    no rating is recorded, or where its kind has no such calculation."""
    volts = float(installation.nominal_voltage_v)
    if load.connection == Connection.L_L:
        volts *= 3**0.5
    values = tuple(getattr(load, name) for name in _RATED_BY)
    return _beyond(values, volts, float(installation.frequency_hz))


_RATED_BY = (
    "kind", "connection", "capacitor_class", "capacitance_uf", "resistance_ohm", "resistors_in_series",
    "discharge_resistor_ohm", "tolerance_percent", "rated_voltage_v", "rated_power_w",
)  # fmt: skip


@lru_cache(maxsize=16_384)
def _beyond(values: tuple, volts: float, frequency: float) -> str:
    load = ParallelLoad(count=1, place="", **dict(zip(_RATED_BY, values, strict=True)))
    if load.rated_voltage_v is None and load.rated_power_w is None:
        return ""
    try:
        given = Conditions(supply_v=volts, highest_v=volts * _HIGHEST, frequency_hz=frequency)
        part = bridge.part(load)
        highest = on_state(part, given.highest_v, Draw.MOST, frequency)
        share = ratings.rating_share(part, highest, given)
        if share is None or share <= 1:
            return ""
        nominal = on_state(part, given.supply_v, frequency_hz=frequency)
        return " ".join(ratings.refusals(part, nominal, highest, 0.0, given))
    except InputError:
        return ""
