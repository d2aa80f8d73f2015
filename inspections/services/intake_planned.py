"""What a spreadsheet would do to the record, before it does."""

import hashlib
import json
import re
from dataclasses import dataclass, field
from typing import Any

from inspections.intake.result import IntakeFile, Problem
from inspections.models import Circuit, Limitation

CircuitKey = tuple[str, str, str]  # board, way in capitals, phase


@dataclass(frozen=True)
class Change:
    """One value of the record that would change. ``before`` is empty for one not entered yet."""

    heading: str
    before: str
    after: str


@dataclass
class CircuitPlan:
    """What the file says of one circuit."""

    board: str
    way: str
    phase: str
    circuit: Circuit | None = None
    details: dict[str, Any] = field(default_factory=dict)
    readings: dict[str, str] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)

    @property
    def label(self):
        return f"{self.board}/{self.way} {self.phase}".strip()

    @property
    def is_new(self):
        return self.circuit is None


@dataclass
class LimitationPlan:
    """A limitation the file states, or a note of it taken as one."""

    limitation: Limitation
    boards: list[str]
    circuits: list[CircuitKey]

    @property
    def words(self):
        where = ", ".join(self.boards) or ", ".join(f"{b}/{w} {p}".strip() for b, w, p in self.circuits)
        tests = ", ".join(self.limitation.test_headings)
        return f"{self.limitation} ({where or 'the whole installation'}; {tests})"


@dataclass
class IntakePlan:
    """Everything a commit would do. ``digest`` tells one plan from another."""

    file: IntakeFile
    new_boards: dict[str, dict[str, str]] = field(default_factory=dict)
    circuits: dict[CircuitKey, CircuitPlan] = field(default_factory=dict)
    board_readings: dict[str, dict[str, str]] = field(default_factory=dict)
    ze: str = ""
    limitations: list[LimitationPlan] = field(default_factory=list)
    others: dict[str, Any] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    needs_board: bool = False

    @property
    def new_circuits(self):
        return [plan for plan in self.circuits.values() if plan.is_new]

    @property
    def changed_circuits(self):
        return [plan for plan in self.circuits.values() if plan.changes and not plan.is_new]

    @property
    def unchanged_count(self):
        return sum(not plan.changes and not plan.is_new for plan in self.circuits.values())

    @property
    def is_empty(self):
        return not (
            self.new_boards
            or self.new_circuits
            or self.changed_circuits
            or self.board_readings
            or self.ze
            or self.limitations
            or any(other.lines for other in self.others.values())
        )

    @property
    def digest(self):
        said = [
            sorted(self.new_boards),
            [
                [plan.label, plan.is_new, [[c.heading, c.before, c.after] for c in plan.changes]]
                for plan in self.circuits.values()
            ],
            self.board_readings,
            self.ze,
            [plan.words for plan in self.limitations],
            {name: list(other.lines) for name, other in self.others.items()},
            [str(problem) for problem in self.problems],
        ]
        return hashlib.sha256(json.dumps(said, sort_keys=True, default=str).encode()).hexdigest()


def board_key(designation: str) -> str:
    """A designation as people mean it: ``DB 1``, ``db-1`` and ``DB1`` are one board."""
    return re.sub(r"[\s\-_.]+", "", designation).upper()
