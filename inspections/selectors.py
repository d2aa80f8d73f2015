"""Reads that span several tables, as plain values."""

from collections.abc import Mapping
from dataclasses import dataclass

from inspections import checking
from inspections.models import Board, BoardResult, Circuit, CircuitResult, Inspection
from inspections.rules import engine
from inspections.rules.facts import Case
from inspections.rules.finding import Finding
from inspections.rules.loop import CannotTell, MaxZs, max_zs


@dataclass(frozen=True)
class BoardRecord:
    """One board of an inspection: its circuits in use or tested then, their results, and their cases."""

    board: Board
    result: BoardResult | None
    circuits: tuple[Circuit, ...]
    results: Mapping[int, CircuitResult]
    cases: Mapping[int, Case]

    def findings(self) -> dict[int, tuple[Finding, ...]]:
        """What the checks say about each circuit, worst first."""
        return {circuit: engine.check_circuit(case) for circuit, case in self.cases.items()}

    def max_zs(self, circuit: Circuit) -> MaxZs | CannotTell:
        """The maximum permitted Zs worked out, whatever was typed."""
        case = self.cases[circuit.pk]
        return max_zs(case.circuit, case.supply, case.edition)


def board_records(inspection: Inspection) -> list[BoardRecord]:
    """The whole of an inspection, board by board in order. The number of queries does not grow with boards.

    A circuit retired since is shown where this inspection has a result for it, and so is its board.
    """
    results = {result.circuit_id: result for result in CircuitResult.objects.filter(inspection=inspection)}
    every = Circuit.objects.filter(board__installation=inspection.installation_id).select_related("board")
    circuits = [
        circuit
        for circuit in every.order_by("board__sort_key", "sort_key")
        if circuit.pk in results or (circuit.retired_on is None and circuit.board.retired_on is None)
    ]
    board_results = {row.board_id: row for row in inspection.board_results.all()}
    cases = checking.cases(inspection, circuits, results, board_results=board_results)
    boards = {board.pk: board for board in inspection.installation.boards.in_use()}
    boards |= {circuit.board_id: circuit.board for circuit in circuits}
    of_board: dict[int, list[Circuit]] = {pk: [] for pk in boards}
    for circuit in circuits:
        of_board[circuit.board_id].append(circuit)
    return [
        BoardRecord(
            board=board,
            result=board_results.get(board.pk),
            circuits=tuple(of_board[board.pk]),
            results=results,
            cases={circuit.pk: cases[circuit.pk] for circuit in of_board[board.pk]},
        )
        for board in sorted(boards.values(), key=lambda board: board.sort_key)
    ]


@dataclass(frozen=True)
class Located:
    """A finding and where it stands: its circuit, or the board, or neither for the inspection itself."""

    finding: Finding
    board: Board | None = None
    circuit: Circuit | None = None


def findings_of(inspection: Inspection) -> list[Located]:
    """Everything the checks say about an inspection, worst first, then in the order of boards and ways."""
    located = []
    for record in board_records(inspection):
        circuits = {circuit.pk: circuit for circuit in record.circuits}
        located += [Located(finding, record.board) for finding in record.board_findings()]
        located += [
            Located(finding, record.board, circuits[pk])
            for pk, found in record.findings().items()
            for finding in found
        ]
    return sorted(located, key=lambda item: item.finding.severity.rank)


def outcome_of(inspection: Inspection):
    """Satisfactory or not, by the published rule from the codes the inspector gave, with the reason."""
    codes = inspection.observations.open().values_list("code", flat=True)
    return outcome(list(codes), editions.load(inspection.edition))
