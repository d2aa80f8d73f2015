"""What the results grid shows: one row a circuit, one cell a test, and what is to be said under the row.

Built here, in plain Python, so that the template only lays out: sixty circuits are nine hundred inputs.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.utils.safestring import mark_safe

from inspections.checking import Note, missing_count, notes_by_circuit
from inspections.columns import RESULTS, Column
from inspections.models import Circuit
from inspections.numbers import whole_number
from inspections.rules.completeness import wanted
from inspections.rules.facts import Case
from inspections.rules.figures import two_places
from inspections.rules.loop import MaxZs
from inspections.selectors import BoardRecord
from inspections.services.results import RowOutcome, TypedRow, cell_text
from inspections.trend_lines import small_lines

_ZS = [column.name for column in RESULTS].index("zs")
LOADS_BESIDE = "ir_live_live"  # the cell that shows what is left across the circuit
_UNASKED, _CARRIED = ' class="unasked"', " data-carried"
SEEN = ".seen"


@dataclass(slots=True)
class Cell:
    """One input. ``attributes``: its name, its label, and whether the circuit is asked for it, from numbers
    and column names alone, so safe as they are. ``theirs``: what another person saved meanwhile, when it
    clashes with what was typed. ``trend``: the strokes of a small line, where the reading changed from visit
    to visit. ``is_plain``: nothing but an input, as nearly every cell is, so that the
    template deals with it first."""

    column: Column
    name: str
    attributes: str
    value: str
    notes: list[Note] = field(default_factory=list)
    hint: str = ""
    problem: str = ""
    theirs: str | None = None
    trend: tuple[str, ...] = ()
    is_plain: bool = False

    @property
    def is_wrong(self):
        """Whether what was typed here is not what stands in the record."""
        return bool(self.problem) or self.theirs is not None

    @property
    def fails(self):
        """Whether a check found the reading out of limit, or at odds with another."""
        return any(note.is_failure for note in self.notes)

    @property
    def has_note(self):
        return bool(self.notes) or self.is_wrong

    @property
    def asks_for_limitation(self):
        return any(note.asks_for_limitation for note in self.notes)


@dataclass(slots=True)
class Row:
    circuit: Circuit
    version: int
    cells: list[Cell]
    state: str = ""

    @property
    def needs_attention(self):
        return any(cell.is_wrong for cell in self.cells)

    @property
    def noted(self):
        """The cells that something is to be said about."""
        return [cell for cell in self.cells if cell.has_note]


def rows_for(record: BoardRecord, outcomes: Mapping[int, RowOutcome] | None = None) -> list[Row]:
    """Rows of the grid. ``outcomes``: of a save just done, by circuit."""
    findings, outcomes = record.findings(), outcomes or {}
    notes = notes_by_circuit(findings)
    rows = []
    for circuit in record.circuits:
        result = record.results.get(circuit.pk)
        marks = _marks(record.cases[circuit.pk])
        cells = _cells(circuit, result, notes[circuit.pk], outcomes.get(circuit.pk), marks)
        limit = record.max_zs(circuit)
        if isinstance(limit, MaxZs) and not circuit.is_spare and not cells[_ZS].value:
            cells[_ZS].hint = f"≤{two_places(limit.ohm)}"
        trends = small_lines(record.cases[circuit.pk])
        for cell in cells:
            cell.trend = trends.get(cell.column.name, ())
            cell.is_plain = not (cell.hint or cell.has_note or cell.trend or cell.column.name == LOADS_BESIDE)
        row = Row(circuit, result.version if result else 0, cells)
        missing = missing_count(findings[circuit.pk]) if result else 0
        row.state = _state(row, missing, is_saved=circuit.pk in outcomes)
        rows.append(row)
    return rows


def _marks(case: Case) -> dict[str, str]:
    """What an input says of its cell, by column: that the circuit is not asked for it, so that hands pass it
    by; that it is carried down from the row above. A circuit of extra-low voltage has a test voltage of its
    own."""
    asked = wanted(case)
    marks = {column.name: "" if column.name in asked else _UNASKED for column in RESULTS}
    if asked:
        marks["ir_voltage_v"] = "" if case.circuit.is_selv_or_pelv else _CARRIED
        marks["instrument_group"] = _UNASKED + _CARRIED
    return marks


def _cells(circuit, result, notes, outcome, marks):
    cells = []
    for column in RESULTS:
        mark = marks[column.name]
        value = cell_text(getattr(result, column.name)) if result else ""
        cell = Cell(
            column,
            f"{circuit.pk}.{column.name}",
            mark_safe(
                f'name="{circuit.pk}.{column.name}" aria-labelledby="c{circuit.pk} {column.name}"{mark}'
            ),
            value,
            notes.get(column.name, []),
        )
        if outcome and column.name in outcome.problems:
            cell.problem, cell.value = outcome.problems[column.name], outcome.refused[column.name]
        elif outcome and column.name in outcome.clashes:
            cell.theirs, cell.value = outcome.clashes[column.name]
        cells.append(cell)
    return cells


def _state(row, missing, *, is_saved):
    """What became of a save just done, and what a row once begun still lacks: nothing of a row at rest."""
    if row.needs_attention:
        return "needs attention"
    return ", ".join((["saved"] if is_saved else []) + ([f"{missing} to enter"] if missing else []))


def typed_rows(posted: Mapping[str, str]) -> list[TypedRow]:
    """The rows of a submitted grid; names are ``<circuit>.<column>`` and ``<circuit>.version``, and
    ``<circuit>.<column>.seen`` where one cell was typed at a version of its own."""
    names = {column.name for column in RESULTS}
    texts: dict[int, dict[str, str]] = {}
    versions: dict[int, int] = {}
    seen: dict[int, dict[str, int]] = {}
    for key, text in posted.items():
        first, _, name = key.partition(".")
        circuit, number = whole_number(first), whole_number(text)
        if circuit is None:
            continue
        if name == "version" and number is not None:
            versions[circuit] = number
        elif name in names:
            texts.setdefault(circuit, {})[name] = text
        elif name.endswith(SEEN) and number is not None:
            seen.setdefault(circuit, {})[name.removesuffix(SEEN)] = number
    return [
        TypedRow(circuit, versions.get(circuit, 0), cells, seen.get(circuit, {}))
        for circuit, cells in texts.items()
    ]
