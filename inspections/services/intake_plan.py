"""A spreadsheet compared with the record: what is new, what would change, what is wrong. Writes nothing."""

import hashlib
import json
import re
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import Any, Protocol

from django.core.exceptions import ValidationError

from inspections.checking import circuit_facts, supply_facts
from inspections.columns import BY_NAME, Kind
from inspections.enums import Arrangement, LimitationKind, LimitationScope, Phases, Serves
from inspections.intake.circuits import split_circuit
from inspections.intake.read import read_file
from inspections.intake.result import LIMITATIONS, SCHEDULE, IntakeFile, IntakeRow, Mapping, Problem
from inspections.models import Circuit, CircuitResult, Inspection, Limitation, Upload
from inspections.models.circuit import may_share_way
from inspections.rules import edition as editions
from inspections.rules.figures import plain, two_places
from inspections.rules.loop import MaxZs, max_zs
from inspections.rules.readings import State
from inspections.services.results import NAMES, cell_text, clean_cell

_RING_COLUMNS = ("r1", "rn", "r2")
_BOARD_FACTS = {"zs_ohm": "zdb", "ipf_ka": "ipf_ka"}
_NOT_THERE = re.compile(r"n/?a|n/?v|lim|[-–—]+|none|nil", re.IGNORECASE)


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
    circuits: list[tuple[str, str, str]]

    @property
    def words(self):
        where = ", ".join(self.boards) or ", ".join(f"{b}/{w} {p}".strip() for b, w, p in self.circuits)
        tests = ", ".join(self.limitation.test_headings)
        return f"{self.limitation} ({where or 'the whole installation'}; {tests})"


class TableTaker(Protocol):
    """Another app's table in the file: it plans its rows, and commits them within the same transaction."""

    def __call__(self, rows: Iterable[IntakeRow], inspection: Inspection, circuit_of: Callable) -> Any: ...


# The load register belongs to an app this one knows nothing of: it enters its taker here when it starts.
# A taker's plan has ``lines`` (one for each new entry), ``problems`` and ``commit(find_circuit, member)``.
TAKERS: dict[str, TableTaker] = {}


@dataclass
class IntakePlan:
    """Everything a commit would do. ``digest`` tells one plan from another."""

    file: IntakeFile
    new_boards: dict[str, dict[str, str]] = field(default_factory=dict)
    circuits: dict[tuple[str, str, str], CircuitPlan] = field(default_factory=dict)
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
        self._plan_limitations()
        for table, taker in TAKERS.items():
            other = taker(self.file.of(table), self.inspection, self.circuit_of)
            self.result.others[table] = other
            self.result.problems += other.problems
        return self.result

    # boards

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
                self._say(
                    found, f"Ze is {ze} here and {self.result.ze} elsewhere in the file. The first was taken."
                )
            else:
                self.result.ze = ze

    def _say(self, place, text, column=""):
        row = getattr(place, "number", None) or getattr(place, "row", 0)
        self.result.problems.append(Problem(place.sheet, row, column, text))

    # circuits

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
            self._say(
                row,
                f"Way {row.way} cannot hold a three-phase circuit and another one at once. The row stays "
                "out: correct its way or its phase.",
                row.cells["designation"].column,
            )
            return
        phases.add(row.phase)
        plan = self.result.circuits.setdefault(key, CircuitPlan(designation, row.way, row.phase, standing))
        for name, cell in row.cells.items():
            if cell.problem or name not in BY_NAME or name == "designation":
                continue
            try:
                self._take_cell(plan, name, cell.text)
            except ValidationError as error:
                self._say(row, " ".join(error.messages), cell.column)

    def _take_cell(self, plan, name, text):
        kept, value = (plan.readings, text) if name in NAMES else (plan.details, _detail(name, text))
        if name in NAMES:
            clean_cell(name, text)
        if name in kept and kept[name] != value:
            raise ValidationError(
                f"{BY_NAME[name].heading} of {plan.label} stands twice in the file: {kept[name]} and {text}. "
                f"The first was taken; make the two agree."
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

    def _assume(self, plan):
        """What a new circuit's own words and readings tell of how it is built; each assumption is shown."""
        if not plan.is_new:
            return
        description = plan.details.get("description", "")
        if re.match(r"\W*spare\b", description, re.IGNORECASE):
            plan.details["is_spare"] = True
            plan.assumed.append("spare way")
        if re.search(r"\blight(s|ing)?\b|\bluminaires?\b|\bdownlights?\b", description, re.IGNORECASE):
            plan.details["serves_lighting"] = True
            plan.assumed.append("serves lighting")
        has_ring = any(_is_measured(plan.readings.get(name, "")) for name in _RING_COLUMNS)
        if has_ring or re.search(r"\bring\b", description, re.IGNORECASE):
            plan.details["arrangement"] = Arrangement.RING
            plan.assumed.append("ring final circuit")
        if has_ring or re.search(r"\bsockets?\b|socket-outlets?", description, re.IGNORECASE):
            plan.details["serves"] = Serves.SOCKETS
            plan.assumed.append("serves socket-outlets")
        elif self._names_of_others(plan.board).search(description):
            plan.details["serves"] = Serves.DISTRIBUTION
            plan.assumed.append("distribution circuit")

    def _names_of_others(self, board: str) -> re.Pattern:
        """What finds the designation of another board in a circuit's description."""
        if board not in self.names_of_others:
            names = {one.designation for one in self.boards.values()} | set(self.result.new_boards)
            words = "|".join(re.escape(name) for name in sorted(names - {board}))
            self.names_of_others[board] = re.compile(rf"\b(?:{words})\b" if words else r"(?!)")
        return self.names_of_others[board]

    # limitations

    def _plan_limitations(self):
        standing = {_limitation_key(limitation) for limitation in self.inspection.limitations.all()}
        for row in self.file.of(LIMITATIONS):
            plan = self._limitation_of(row)
            if plan and _limitation_key(plan.limitation) not in standing:
                self.result.limitations.append(plan)
        for index in self.choices.get("limitation_notes", []):
            plan = self._limitation_of_note(self.file.notes[index])
            if plan and _limitation_key(plan.limitation) not in standing:
                self.result.limitations.append(plan)

    def _limitation_of(self, row):
        text = {name: cell.text for name, cell in row.cells.items() if not cell.problem}
        if any(cell.problem for cell in row.cells.values()):
            return None
        circuits, unknown = self._circuits_named(row, text.get("circuits", ""))
        if unknown:
            cell = row.cells["circuits"]
            self._say(
                row, f"No circuit {', '.join(unknown)} is known. Name it as board/way: DB1/3.", cell.column
            )
            return None
        limitation = Limitation(
            inspection=self.inspection,
            kind=text.get("kind") or LimitationKind.OPERATIONAL,
            tests=[name.strip() for name in text.get("tests", "").split(",") if name.strip()],
            reason=text.get("reason", ""),
            agreed_with=text.get("agreed_with", ""),
            agreed_on=text.get("agreed_on") or None,
            agreed_how=text.get("agreed_how", ""),
            is_standing=text.get("is_standing") == "yes",
        )
        board = self._designation(row) if row.board is not None else ""
        if circuits:
            limitation.scope = LimitationScope.CIRCUITS
        else:
            limitation.scope = LimitationScope.BOARDS if board else LimitationScope.WHOLE
        try:
            limitation.full_clean(exclude=["inspection"])
        except ValidationError as error:
            self._say(row, " ".join(error.messages))
            return None
        return LimitationPlan(
            limitation, [board] if limitation.scope == LimitationScope.BOARDS else [], circuits
        )

    def _circuits_named(self, row, text):
        """Keys of the circuits that ``DB1/3, DB1/4`` or ``3 and 4`` name, and the words that name none."""
        known = set(self.result.circuits) | {
            (circuit.board.designation, way, phase) for (_, way, phase), circuit in self.circuits.items()
        }
        own_board = self._designation(row)
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

    def _limitation_of_note(self, note):
        """A note of the file as an operational limitation of the LIM readings that nothing else covers."""
        board = self.file.boards[note.board].designation if note.board is not None else ""
        plans = [
            plan
            for plan in self.result.circuits.values()
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


def _lims(plan):
    return {name for name, text in plan.readings.items() if text.upper() == State.LIM.value}


def _is_measured(text):
    return any(character.isdigit() for character in text)


def _limitation_key(limitation):
    return (limitation.kind, tuple(sorted(limitation.tests)), limitation.reason.strip().lower())


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
