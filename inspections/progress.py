"""How far the readings of a visit have come: entered of wanted, board by board."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from inspections.checking import circuit_facts, circuit_readings
from inspections.models import Circuit, CircuitResult, Inspection
from inspections.rules import edition, visual
from inspections.rules.completeness import wanted
from inspections.rules.facts import Case


@dataclass
class Progress:
    """Readings entered, of those that the circuits ask for."""

    entered: int = 0
    wanted: int = 0

    def __str__(self):
        return f"{self.entered} of {self.wanted} readings" if self.wanted else "nothing to test yet"

    @property
    def is_complete(self):
        return self.entered == self.wanted

    def add(self, other):
        self.entered += other.entered
        self.wanted += other.wanted


def progress_by_board(inspections: Iterable[Inspection]) -> dict[int, dict[int, Progress]]:
    """Progress by inspection and board, in two queries whatever the number of inspections.

    ``inspections`` must come with their installations at hand.
    """
    inspections = list(inspections)
    circuits = defaultdict(list)
    for circuit in (
        Circuit.objects.in_use()
        .filter(
            board__installation__in={inspection.installation_id for inspection in inspections},
            board__retired_on__isnull=True,
        )
        .select_related("board")
    ):
        circuits[circuit.board.installation_id].append(circuit)
    results = {
        (result.inspection_id, result.circuit_id): result
        for result in CircuitResult.objects.filter(inspection__in=inspections)
    }
    progress = {}
    for inspection in inspections:
        boards = progress[inspection.pk] = defaultdict(Progress)
        for circuit in circuits[inspection.installation_id]:
            boards[circuit.board_id].add(
                _of_circuit(inspection, circuit, results.get((inspection.pk, circuit.pk)))
            )
    return progress


def total(by_board: dict[int, Progress]) -> Progress:
    """The progress of all boards of one inspection together."""
    whole = Progress()
    for progress in by_board.values():
        whole.add(progress)
    return whole


def visual_progress(inspection: Inspection) -> Progress:
    """Items of the visual inspection that have an outcome, of all there are. One query."""
    items = [item.key for area in visual.areas() for item in area.items]
    return Progress(inspection.visual_outcomes.filter(item__in=items).count(), len(items))


def _of_circuit(inspection, circuit, result):
    if circuit.is_spare:
        return Progress()
    readings = circuit_readings(result)
    names = wanted(
        Case(
            circuit=circuit_facts(circuit, inspection.installation),
            readings=readings,
            edition=edition.load(inspection.edition),
        )
    )
    entered = sum(bool(_entered(readings, name)) for name in names)
    return Progress(entered, len(names))


def _entered(readings, name):
    if name == "r1_r2":
        return readings.r1_r2 or readings.r2_only
    return getattr(readings, name)
