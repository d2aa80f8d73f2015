"""Reads that span several tables, as plain values."""

import re
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from inspections import checking, origins
from inspections.models import Board, BoardResult, Circuit, CircuitResult, Inspection, Observation
from inspections.rules import edition as editions
from inspections.rules import engine
from inspections.rules.facts import Case
from inspections.rules.finding import Finding
from inspections.rules.loop import CannotTell, MaxZs, max_zs
from inspections.rules.observations import suggested_observation
from inspections.rules.outcome import Outcome, outcome

_REGULATION = re.compile(r"\d+(\.\d+)+")  # of a rule such as “411.4.4”; a table or an appendix is none


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


def board_record(inspection: Inspection, board: Board, only: Container[int] | None = None) -> BoardRecord:
    """One board of an inspection, of its circuits in use; ``only`` those ids when given."""
    circuits = [
        circuit
        for circuit in board.circuits.in_use().select_related("board").order_by("sort_key")
        if only is None or circuit.pk in only
    ]
    results = {result.circuit_id: result for result in CircuitResult.objects.on_board(inspection, board)}
    board_results = {row.board_id: row for row in inspection.board_results.filter(board=board)}
    return BoardRecord(
        board=board,
        result=board_results.get(board.pk),
        circuits=tuple(circuits),
        results=results,
        cases=checking.cases(inspection, circuits, results, board_results=board_results),
    )


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

    @property
    def observation_text(self) -> str:
        """Text of an observation made of the finding; empty where the schedule is to be put right instead."""
        return suggested_observation(self.finding)

    @property
    def observation_query(self) -> str:
        """What the page for a new observation is filled in with, as the query of its address."""
        regulation = _REGULATION.match(self.finding.rule)
        return urlencode(
            {
                "text": self.observation_text,
                **({"board": self.board.pk} if self.board else {}),
                **({"circuit": self.circuit.pk} if self.circuit else {}),
                **({"regulation": regulation[0]} if regulation else {}),
                "made_from": origins.of_finding(self.finding),
            }
        )

    def made_into(self, observations: Iterable[Observation]) -> Observation | None:
        """The one of ``observations`` that was made from this finding, here."""
        origin = origins.of_finding(self.finding)
        board, circuit = self.board and self.board.pk, self.circuit and self.circuit.pk
        here = (
            observation
            for observation in observations
            if (observation.made_from, observation.board_id, observation.circuit_id)
            == (origin, board, circuit)
        )
        return next(here, None)


def findings_of(inspection: Inspection) -> list[Located]:
    """Everything the checks say about an inspection, worst first, then in the order of boards and ways."""
    edition = editions.load(inspection.edition)
    located = [Located(finding) for finding in findings_of_visit(inspection)]
    for record in board_records(inspection):
        circuits = {circuit.pk: circuit for circuit in record.circuits}
        facts = checking.board_facts(record.board, record.result, inspection)
        located += [
            Located(finding, record.board)
            for finding in engine.check_board(facts, list(record.cases.values()), edition)
        ]
        located += [
            Located(finding, record.board, circuits[pk])
            for pk, found in record.findings().items()
            for finding in found
        ]
    return sorted(located, key=lambda item: item.finding.severity.rank)


def findings_of_visit(inspection: Inspection) -> tuple[Finding, ...]:
    """What the checks say of the supply as measured, and of the instruments on the last day of the visit."""
    return engine.check_inspection(
        checking.supply_facts(inspection),
        checking.instrument_facts(inspection),
        inspection.last_day,
        editions.load(inspection.edition),
    )


def findings_of_circuit(inspection: Inspection, circuit: Circuit) -> list[Located]:
    """What the checks say of one circuit at an inspection, worst first; in use or not."""
    results = {result.circuit_id: result for result in inspection.results.filter(circuit=circuit)}
    board_results = {row.board_id: row for row in inspection.board_results.filter(board=circuit.board_id)}
    case = checking.cases(inspection, [circuit], results, board_results=board_results)[circuit.pk]
    return [Located(finding, circuit.board, circuit) for finding in engine.check_circuit(case)]


def outcome_of(inspection: Inspection) -> Outcome:
    """Satisfactory or not, by the published rule from the codes the inspector gave, with the reason."""
    codes = inspection.observations.open().exclude(code="").values_list("code", flat=True)
    return outcome(codes, editions.load(inspection.edition))
