"""What the results grid shows: one row a circuit, one cell a test, each with what is to be said beside it.

Built here, in plain Python, so that the template only lays out: sixty circuits are nine hundred inputs.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from inspections.checking import missing_count, notes_by_circuit
from inspections.columns import RESULTS, Column
from inspections.models import Circuit, CircuitResult
from inspections.rules.finding import Finding
from inspections.services.results import RowOutcome, TypedRow, cell_text


@dataclass(slots=True)
class Cell:
    """One input. ``theirs`` is what another person saved meanwhile, when it clashes with what was typed."""

    column: Column
    name: str
    value: str
    notes: list = field(default_factory=list)
    problem: str = ""
    theirs: str | None = None

    @property
    def is_wrong(self):
        return bool(self.problem) or self.theirs is not None


@dataclass(slots=True)
class Row:
    circuit: Circuit
    version: int
    cells: list[Cell]
    state: str = ""

    @property
    def needs_attention(self):
        return any(cell.is_wrong for cell in self.cells)


def rows_for(
    circuits: Iterable[Circuit],
    results: Mapping[int, CircuitResult],
    findings: Mapping[int, tuple[Finding, ...]],
    outcomes: Mapping[int, RowOutcome] | None = None,
) -> list[Row]:
    """Rows of the grid. ``findings``: what the checks say, by circuit. ``outcomes``: of a save just done."""
    outcomes, notes = outcomes or {}, notes_by_circuit(findings)
    return [
        _row(
            circuit,
            results.get(circuit.pk),
            notes[circuit.pk],
            findings[circuit.pk],
            outcomes.get(circuit.pk),
        )
        for circuit in circuits
    ]


def _row(circuit, result, notes, findings, outcome):
    cells = []
    for column in RESULTS:
        value = cell_text(getattr(result, column.name)) if result else ""
        cell = Cell(column, f"{circuit.pk}.{column.name}", value, notes.get(column.name, []))
        if outcome and column.name in outcome.problems:
            cell.problem, cell.value = outcome.problems[column.name], outcome.refused[column.name]
        elif outcome and column.name in outcome.clashes:
            cell.theirs, cell.value = outcome.clashes[column.name]
        cells.append(cell)
    row = Row(circuit, result.version if result else 0, cells)
    row.state = _state(row, result, missing_count(findings))
    return row


def _state(row, result, missing):
    if row.needs_attention:
        return "needs attention"
    if result is None:
        return "spare way" if row.circuit.is_spare else "nothing entered"
    return f"saved, {missing} to enter" if missing else "saved"


def typed_rows(posted: Mapping[str, str]) -> list[TypedRow]:
    """The rows of a submitted grid; names are ``<circuit>.<column>`` and ``<circuit>.version``."""
    names = {column.name for column in RESULTS}
    texts: dict[int, dict[str, str]] = {}
    versions: dict[int, int] = {}
    for key, text in posted.items():
        circuit, _, name = key.partition(".")
        if not circuit.isdecimal():
            continue
        if name == "version" and text.isdecimal():
            versions[int(circuit)] = int(text)
        elif name in names:
            texts.setdefault(int(circuit), {})[name] = text
    return [TypedRow(circuit, versions.get(circuit, 0), cells) for circuit, cells in texts.items()]
