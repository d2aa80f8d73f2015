"""The limitations of a spreadsheet: those it states, and notes of it taken as one."""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from django.core.exceptions import ValidationError

from inspections.enums import LimitationKind, LimitationScope
from inspections.intake.circuits import split_circuit
from inspections.intake.result import LIMITATIONS, IntakeNote, IntakeRow
from inspections.models import Board, Inspection, Limitation
from inspections.rules.readings import State
from inspections.services.intake_planned import CircuitKey, CircuitPlan, IntakePlan, LimitationPlan, board_key
from inspections.services.results import NAMES


@dataclass
class LimitationPlanner:
    """Adds limitations to a plan whose circuits are planned.

    boards: those in use, by ``board_key``. standing_circuits: those of the record. designation_of: the board
    of a row as the record spells it.
    """

    plan: IntakePlan
    inspection: Inspection
    boards: Mapping[str, Board]
    standing_circuits: set[CircuitKey]
    designation_of: Callable[[IntakeRow], str]

    def add(self, notes: Iterable[int]) -> None:
        """Plan what the file states and, by their indexes, the notes that are to stand as limitations."""
        standing = {_key(limitation) for limitation in self.inspection.limitations.all()}
        stated = [self._of_row(row) for row in self.plan.file.of(LIMITATIONS)]
        noted = [self._of_note(self.plan.file.notes[index]) for index in notes]
        self.plan.limitations += [
            one for one in (*stated, *noted) if one and _key(one.limitation) not in standing
        ]

    def _of_row(self, row: IntakeRow) -> LimitationPlan | None:
        if any(cell.problem for cell in row.cells.values()):
            return None  # told by the file's own problems
        text = {name: cell.text for name, cell in row.cells.items()}
        circuits, unknown = self._circuits_named(row, text.get("circuits", ""))
        if unknown:
            words = f"No circuit {', '.join(unknown)} is known. Name it as board/way: DB1/3."
            self.plan.problems.append(row.problem(words, row.cells["circuits"].column))
            return None
        board = self.designation_of(row) if row.board is not None and not circuits else ""
        limitation = Limitation(
            inspection=self.inspection,
            kind=text.get("kind") or LimitationKind.OPERATIONAL,
            scope=_scope(circuits, board),
            tests=[name.strip() for name in text.get("tests", "").split(",") if name.strip()],
            reason=text.get("reason", ""),
            agreed_with=text.get("agreed_with", ""),
            agreed_on=text.get("agreed_on") or None,
            agreed_how=text.get("agreed_how", ""),
            is_standing=text.get("is_standing") == "yes",
        )
        try:
            limitation.full_clean(exclude=["inspection"])
        except ValidationError as error:
            self.plan.problems.append(row.problem(" ".join(error.messages)))
            return None
        return LimitationPlan(limitation, [board] if board else [], circuits)

    def _circuits_named(self, row: IntakeRow, text: str) -> tuple[list[CircuitKey], list[str]]:
        """Keys of the circuits that ``DB1/3, DB1/4`` or ``3 and 4`` name, and the words that name none."""
        known = self.standing_circuits | set(self.plan.circuits)
        own_board = self.designation_of(row)
        named, unknown = [], []
        for word in re.split(r"[,;\n]|\band\b|&", text):
            word = word.strip()
            if not word or re.fullmatch(r"(all|whole|every)\b.*", word, re.IGNORECASE):
                continue
            board, way, phase = own_board, *split_circuit(word)
            head, slash, tail = word.partition("/")
            if slash and head.strip().upper() not in ("L1", "L2", "L3") and not head.strip().isdecimal():
                standing = self.boards.get(board_key(head))
                board = standing.designation if standing else head.strip()
                way, phase = split_circuit(tail)
            found = {
                key for key in known if key[0] == board and key[1] == way.upper() and phase in ("", key[2])
            }
            named += sorted(found)
            unknown += [] if found else [word]
        return named, unknown

    def _of_note(self, note: IntakeNote) -> LimitationPlan | None:
        """A note of the file as an operational limitation of the LIM readings that nothing else covers."""
        board = self.plan.file.boards[note.board].designation if note.board is not None else ""
        plans = [
            plan
            for plan in self.plan.circuits.values()
            if (not board or board_key(plan.board) == board_key(board)) and _lims(plan)
        ]
        if not plans:
            return None
        tests = [name for name in NAMES if any(name in _lims(plan) for plan in plans)]
        limitation = Limitation(
            inspection=self.inspection,
            kind=LimitationKind.OPERATIONAL,
            scope=LimitationScope.CIRCUITS,
            tests=tests,
            reason=note.text,
        )
        return LimitationPlan(limitation, [], [(plan.board, plan.way.upper(), plan.phase) for plan in plans])


def _scope(circuits: list[CircuitKey], board: str) -> LimitationScope:
    if circuits:
        return LimitationScope.CIRCUITS
    return LimitationScope.BOARDS if board else LimitationScope.WHOLE


def _lims(plan: CircuitPlan) -> set[str]:
    return {name for name, text in plan.readings.items() if text.upper() == State.LIM.value}


def _key(limitation: Limitation) -> tuple:
    return (limitation.kind, tuple(sorted(limitation.tests)), limitation.reason.strip().lower())
