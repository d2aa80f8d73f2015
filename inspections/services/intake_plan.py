"""A spreadsheet compared with the record: what is new, what would change, what is wrong. Writes nothing."""

import re
from collections import defaultdict
from collections.abc import Callable, Iterable
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import Any, Protocol

from django.core.exceptions import ValidationError

from inspections.checking import circuit_facts, supply_facts
from inspections.columns import BY_NAME, Kind
from inspections.enums import Phases
from inspections.intake.read import read_file
from inspections.intake.result import SCHEDULE, IntakeFile, IntakeRow, Mapping, Problem
from inspections.models import Circuit, CircuitResult, Inspection, Upload
from inspections.models.circuit import may_share_way
from inspections.rules import edition as editions
from inspections.rules.figures import plain, two_places
from inspections.rules.loop import MaxZs, max_zs
from inspections.services.intake_assumed import assumptions
from inspections.services.intake_limitations import LimitationPlanner
from inspections.services.intake_planned import Change, CircuitPlan, IntakePlan, board_key
from inspections.services.results import NAMES, cell_text, clean_cell

_BOARD_FACTS = {"zs_ohm": "zdb", "ipf_ka": "ipf_ka"}
_NOT_THERE = re.compile(r"n/?a|n/?v|lim|[-–—]+|none|nil", re.IGNORECASE)


class TableTaker(Protocol):
    """Another app's table in the file: it plans its rows, and commits them within the same transaction."""

    def __call__(self, rows: Iterable[IntakeRow], inspection: Inspection, circuit_of: Callable) -> Any: ...


# The load register belongs to an app this one knows nothing of: it enters its taker here when it starts.
# A taker's plan has ``lines`` (one for each new entry), ``problems`` and ``commit(find_circuit, member)``.
TAKERS: dict[str, TableTaker] = {}


def read_upload(upload: Upload) -> IntakeFile:
    """Read the file again with the columns as the person mapped them. Raises IntakeError."""
    mapping = Mapping.from_dict({"columns": upload.choices.get("columns", [])})
    return read_file(upload.name, bytes(upload.content), mapping)


def plan_intake(file: IntakeFile, inspection: Inspection, choices: dict[str, Any]) -> IntakePlan:
    """Compare a file with the record as it stands. Writes nothing.

    ``choices``: ``board`` for rows whose file names none; ``limitation_notes``, indexes of the notes of the
    file that are to stand as limitations.
    """
    return _Planner(file, inspection, choices).plan()


class _Planner:
    def __init__(self, file, inspection, choices):
        self.file, self.inspection, self.choices = file, inspection, choices
        installation = inspection.installation
        self.boards = {board_key(board.designation): board for board in installation.boards.in_use()}
        circuits = Circuit.objects.in_use().filter(board__installation=installation).select_related("board")
        self.circuits = {(board_key(c.board.designation), c.way.upper(), c.phase): c for c in circuits}
        self.phases: dict[tuple[str, str], set[str]] = defaultdict(set)
        for board, way, phase in self.circuits:
            self.phases[board, way].add(phase)
        self.results = {
            result.circuit_id: result for result in CircuitResult.objects.filter(inspection=inspection)
        }
        self.names_of_others: dict[str, re.Pattern] = {}
        self.result = IntakePlan(file=file, problems=list(file.problems))

    def plan(self):
        self._plan_boards()
        self._plan_circuits()
        standing = {(c.board.designation, c.way.upper(), c.phase) for c in self.circuits.values()}
        limitations = LimitationPlanner(
            self.result, self.inspection, self.boards, standing, self._designation
        )
        limitations.add(notes=self.choices.get("limitation_notes", []))
        for table, taker in TAKERS.items():
            other = taker(self.file.of(table), self.inspection, self.circuit_of)
            self.result.others[table] = other
            self.result.problems += other.problems
        return self.result

    def _designation(self, row: IntakeRow) -> str:
        """The board of a row as the record spells it; empty when nobody has said."""
        named = self.file.boards[row.board].designation if row.board is not None else ""
        named = named or self.choices.get("board", "")
        if not named and len(self.boards) == 1:
            return next(iter(self.boards.values())).designation
        known = self.boards.get(board_key(named))
        return known.designation if known else named

    def _plan_boards(self):
        for found in self.file.boards:
            if not found.designation:
                continue
            key = board_key(found.designation)
            designation = self.boards[key].designation if key in self.boards else found.designation
            if key not in self.boards:
                fact = self.result.new_boards.setdefault(
                    designation, {"location": found.name, "fed_from": ""}
                )
                fact["fed_from"] = fact["fed_from"] or found.facts.get("supplied_from", "")
                fact["main_switch"] = fact.get("main_switch") or found.facts.get("main_switch", "")
            self._plan_board_readings(designation, key, found)
        three_phase = {self._designation(row) for row in self.file.of(SCHEDULE) if row.phase}
        for designation, fact in self.result.new_boards.items():
            fact["phases"] = Phases.THREE if designation in three_phase else Phases.SINGLE

    def _plan_board_readings(self, designation, key, found):
        standing = None
        if key in self.boards:
            standing = self.inspection.board_results.filter(board=self.boards[key]).first()
        for fact, name in _BOARD_FACTS.items():
            text = found.facts.get(fact, "")
            if text and text != cell_text(getattr(standing, name, "")):
                self.result.board_readings.setdefault(designation, {})[name] = text
        ze = found.facts.get("ze_ohm", "")
        if ze and not self.inspection.ze:
            if self.result.ze not in ("", ze):
                words = f"Ze is {ze} here and {self.result.ze} elsewhere in the file. The first was taken."
                self.result.problems.append(Problem(found.sheet, found.row, "", words))
            else:
                self.result.ze = ze

    def circuit_of(self, row: IntakeRow) -> CircuitPlan | None:
        """The planned or standing circuit that a row of another table names."""
        key = (self._designation(row), row.way.upper(), row.phase)
        if key in self.result.circuits:
            return self.result.circuits[key]
        standing = self.circuits.get((board_key(key[0]), key[1], key[2]))
        return CircuitPlan(key[0], row.way, row.phase, standing) if standing else None

    def _plan_circuits(self):
        for row in self.file.of(SCHEDULE):
            designation = self._designation(row)
            if not designation:
                self.result.needs_board = True
                continue
            if row.way:
                self._take_row(designation, row)
        for plan in self.result.circuits.values():
            self._assume(plan)

    def _take_row(self, designation, row):
        if designation not in self.result.new_boards and board_key(designation) not in self.boards:
            self.result.new_boards[designation] = {"location": "", "fed_from": "", "phases": Phases.SINGLE}
        key = (designation, row.way.upper(), row.phase)
        standing = self.circuits.get((board_key(designation), key[1], row.phase))
        phases = self.phases[board_key(designation), key[1]]
        if not may_share_way(row.phase, phases - {row.phase}):
            words = (
                f"Way {row.way} cannot hold a three-phase circuit and another one at once. The row stays "
                "out: correct its way or its phase."
            )
            self.result.problems.append(row.problem(words, row.cells["designation"].column))
            return
        phases.add(row.phase)
        plan = self.result.circuits.setdefault(key, CircuitPlan(designation, row.way, row.phase, standing))
        for name, cell in row.cells.items():
            if cell.problem or name not in BY_NAME or name == "designation":
                continue
            try:
                self._take_cell(plan, name, cell.text)
            except ValidationError as error:
                self.result.problems.append(row.problem(" ".join(error.messages), cell.column))

    def _take_cell(self, plan, name, text):
        kept, value = (plan.readings, text) if name in NAMES else (plan.details, _detail(name, text))
        if name in NAMES:
            clean_cell(name, text)
        if name in kept and kept[name] != value:
            raise ValidationError(
                f"{BY_NAME[name].heading} of {plan.label} appears twice in the file: {kept[name]} and "
                f"{text}. The first was taken; make the two agree."
            )
        if name in kept:
            return
        if name == "max_zs_ohm" and value is not None and value == self._worked_out_max_zs(plan):
            return  # our own figure come back, not somebody's own limit
        kept[name] = value
        now = self._now(plan, name)
        if cell_text(value) != now:
            plan.changes.append(Change(BY_NAME[name].title, now, cell_text(value)))

    def _now(self, plan, name):
        if plan.circuit is None:
            return ""
        if name not in NAMES:
            value = getattr(plan.circuit, name)
            return plain(value) if isinstance(value, Decimal) else cell_text(value)
        result = self.results.get(plan.circuit.pk)
        return cell_text(getattr(result, name)) if result else ""

    def _worked_out_max_zs(self, plan):
        circuit = plan.circuit or Circuit(
            way=plan.way, phase=plan.phase, **{k: v for k, v in plan.details.items() if k != "max_zs_ohm"}
        )
        limit = max_zs(
            circuit_facts(circuit, self.inspection.installation),
            supply_facts(self.inspection),
            editions.load(self.inspection.edition),
        )
        return Decimal(two_places(limit.ohm)) if isinstance(limit, MaxZs) else None

    def _assume(self, plan: CircuitPlan) -> None:
        """Take of a new circuit what its words and readings tell; each assumption is shown."""
        if not plan.is_new:
            return
        description = plan.details.get("description", "")
        for one in assumptions(description, plan.readings, self._names_of_others(plan.board)):
            plan.details[one.detail] = one.value
            plan.assumed.append(one.words)

    def _names_of_others(self, board: str) -> re.Pattern:
        """What finds the designation of another board in a circuit's description."""
        if board not in self.names_of_others:
            names = {one.designation for one in self.boards.values()} | set(self.result.new_boards)
            words = "|".join(re.escape(name) for name in sorted(names - {board}))
            self.names_of_others[board] = re.compile(rf"\b(?:{words})\b" if words else r"(?!)")
        return self.names_of_others[board]


@lru_cache(maxsize=16_384)
def _detail(name: str, text: str):
    """A circuit detail from its text. Raises ValidationError with what to type instead."""
    model_field = Circuit._meta.get_field(name)
    if BY_NAME[name].kind in (Kind.DECIMAL, Kind.WHOLE):
        if _NOT_THERE.fullmatch(text.strip()):
            return None
        try:
            value = model_field.clean(text.strip(), None)
        except InvalidOperation:
            raise ValidationError(f"“{text}” is not a number. Type a number alone.") from None
        return Decimal(plain(value)) if isinstance(value, Decimal) else value
    return model_field.clean(text.strip(), None)
