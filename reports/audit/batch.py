"""What the audit reads of the record, of some places at once: the statements do not grow with the places."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from inspections.enums import Code, InspectionKind, StandingAnswer
from inspections.models import (
    Board,
    Circuit,
    CircuitResult,
    Inspection,
    Installation,
    Limitation,
    Observation,
)
from remedies.explained import stays_of
from remedies.labels import label_statuses
from remedies.models import ParallelLoad
from reports.audit.tables import Due

_OPEN_CODES = {Code.C1: Due.C1, Code.C2: Due.C2, Code.FI: Due.FI}
_OfPlaces = Mapping[int, Installation]


class Batch:
    """The records of some installations until a day: boards, visits and limitations by installation id,
    loads, results and observations by circuit id. What is retired is left out."""

    def __init__(self, installations: Sequence[Installation], on: date):
        of_place = {installation.pk: installation for installation in installations}
        self.on = on
        self._read_circuits(of_place)
        self._read_loads(of_place)
        self._read_visits(of_place)
        self._read_limitations(of_place)
        self._read_observations(of_place)

    def _read_circuits(self, of_place: _OfPlaces) -> None:
        self.boards: dict[int, list[Board]] = defaultdict(list)
        self.circuits: dict[int, dict[int, Circuit]] = defaultdict(dict)
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
        self._there = {pk: circuit for found in self.circuits.values() for pk, circuit in found.items()}
        self.statuses = label_statuses(list(boards.values()))

    def _read_loads(self, of_place: _OfPlaces) -> None:
        self.loads: dict[int, list[ParallelLoad]] = defaultdict(list)
        loads = ParallelLoad.objects.filter(
            circuit__board__installation__in=of_place,
            circuit__retired_on__isnull=True,
            circuit__board__retired_on__isnull=True,
        ).order_by("pk")
        for load in loads:
            load.circuit = self._there[load.circuit_id]
            self.loads[load.circuit_id].append(load)
        self.seen = {
            volts: set(loads.seen_live_live(volts).values_list("pk", flat=True)) for volts in (250, 500)
        }
        entered = ParallelLoad.history.filter(id__in=[load.pk for load in loads], history_type="+")
        self.entered_by = dict(entered.values_list("id", "history_user_id"))
        self.stays = stays_of(loads)

    def _read_visits(self, of_place: _OfPlaces) -> None:
        self.visits: dict[int, list[Inspection]] = defaultdict(list)
        self.results: dict[int, list[tuple[Inspection, CircuitResult]]] = defaultdict(list)
        visits = Inspection.objects.filter(installation__in=of_place, started_on__lte=self.on)
        by_pk = {}
        for visit in visits.prefetch_related("instruments").order_by("started_on", "pk"):
            visit.installation = of_place[visit.installation_id]
            self.visits[visit.installation_id].append(visit)
            by_pk[visit.pk] = visit
        results = CircuitResult.objects.filter(inspection__in=by_pk)
        for result in results.order_by("inspection__started_on", "inspection"):
            if result.circuit_id in self._there:
                result.circuit = self._there[result.circuit_id]
                self.results[result.circuit_id].append((by_pk[result.inspection_id], result))

    def _read_limitations(self, of_place: _OfPlaces) -> None:
        self.limitations: dict[int, list[tuple]] = defaultdict(list)
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

    def _read_observations(self, of_place: _OfPlaces) -> None:
        self.observed: dict[int, list[tuple[date, date | None]]] = defaultdict(list)
        self.open_codes: dict[int, list[tuple]] = defaultdict(list)
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


class Place:
    """One installation of a batch. ``of_firm``: what every row of the audit says of where it belongs."""

    def __init__(self, installation: Installation, batch: Batch):
        self.installation, self.batch, self.on = installation, batch, batch.on
        self.of_firm = {
            "firm_id": installation.client.firm_id,
            "client_id": installation.client_id,
            "installation_id": installation.pk,
        }
        self.boards = batch.boards[installation.pk]
        self.circuits = batch.circuits[installation.pk]
        self.visits = batch.visits[installation.pk]
        self.loads = {pk: batch.loads[pk] for pk in self.circuits if pk in batch.loads}

    @property
    def name(self) -> str:
        return self.installation.name
