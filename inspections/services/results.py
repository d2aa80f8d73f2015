"""Recording readings, row by row, so that a bad cell never loses a good one and no one overwrites unseen."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from inspections.columns import RESULTS
from inspections.models import Circuit, CircuitResult, Inspection
from inspections.services.acts import note_visit
from inspections.services.record import create_records, keep_history_of_changed

NAMES = tuple(column.name for column in RESULTS)
_FIELDS = {name: CircuitResult._meta.get_field(name) for name in NAMES}


class InspectionClosed(Exception):
    """The inspection is in review or issued: its results no longer change."""


@dataclass(frozen=True)
class TypedRow:
    """One row as typed. ``version`` is the version the person saw, 0 when the row was still empty; ``seen``
    holds it by column for cells typed at another, as happens without a connection. ``texts`` holds the
    cells by column name; a column left out is left alone."""

    circuit_id: int
    version: int
    texts: Mapping[str, str]
    seen: Mapping[str, int] = field(default_factory=dict)

    def seen_at(self, name: str) -> int:
        return self.seen.get(name, self.version)


@dataclass
class RowOutcome:
    """What became of a typed row.

    problems: message by column, for cells not understood; their text is in ``refused``.
    clashes: by column, what another person saved meanwhile and what was typed here; nothing was overwritten.
    """

    result: CircuitResult
    saved: bool = False
    problems: dict[str, str] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)
    clashes: dict[str, tuple[str, str]] = field(default_factory=dict)

    @property
    def needs_attention(self):
        return bool(self.problems or self.clashes)


def cell_text(value) -> str:
    """A cell's value as it stands in the grid."""
    return "" if value is None else str(value)


@lru_cache(maxsize=16_384)
def clean_cell(name: str, text: str) -> Any:
    """The value of one cell. Raises ValidationError with what to type instead."""
    model_field = _FIELDS[name]
    if name == "ir_voltage_v":
        return _test_voltage(text)
    value = text.strip() if name in ("remarks", "instrument_group") else text
    return model_field.clean(value, None)


def _test_voltage(text: str) -> int | None:
    typed = text.strip().upper().removesuffix("V").strip()
    if not typed:
        return None
    voltages = {str(volts): volts for volts, _ in _FIELDS["ir_voltage_v"].choices}
    if typed in voltages:
        return voltages[typed]
    raise ValidationError(f"“{text.strip()}” is not a test voltage. Type 250, 500 or 1000.")


@transaction.atomic
def record_results(
    *, inspection: Inspection, rows: Iterable[TypedRow], member, reason=""
) -> list[RowOutcome]:
    """Record typed rows of one inspection and say what became of each.

    Each cell is compared with what the person saw (from the history, at the row's version) and with what
    stands now. A cell only they changed is written; a cell another person changed meanwhile is a clash: both
    values come back and the one that stands is left. Typing it again, now seen, overwrites.

    Raises InspectionClosed when results may no longer be entered. Circuits that are not of the inspection's
    installation are left out.
    """
    locked = Inspection.objects.select_for_update().get(pk=inspection.pk)
    if not locked.is_open:
        raise InspectionClosed(f"{locked} is {locked.get_status_display().lower()}.")
    note_visit(locked)
    typed = {row.circuit_id: row for row in rows}
    circuits = Circuit.objects.filter(board__installation=locked.installation_id).in_bulk(list(typed))
    standing = {
        result.circuit_id: result
        for result in CircuitResult.objects.filter(inspection=locked, circuit__in=circuits)
    }
    seen, versions = (
        _rows_as_seen(standing, typed),
        _versions_taken_back(locked, set(circuits) - set(standing)),
    )
    outcomes, new, changed = [], [], []
    for circuit_id in typed:
        if circuit_id not in circuits:
            continue
        row = typed[circuit_id]
        result = standing.get(circuit_id) or CircuitResult(
            inspection=locked, circuit=circuits[circuit_id], version=versions.get(circuit_id, 0)
        )
        result.circuit = circuits[circuit_id]
        outcome = _merge(result, row, seen)
        outcomes.append(outcome)
        if outcome.saved:
            (changed if result.pk else new).append(result)
            result.version += 1
    _write(new, changed, member, reason)
    return outcomes


def _rows_as_seen(standing, typed):
    """The rows as they were seen where they moved on since, by circuit and version."""
    moved = {
        (result.pk, version): circuit_id
        for circuit_id, result in standing.items()
        for version in map(typed[circuit_id].seen_at, typed[circuit_id].texts)
        if version != result.version
    }
    if not moved:
        return {}
    rows, versions = zip(*moved, strict=True)
    history = CircuitResult.history.filter(id__in=set(rows), version__in=set(versions))
    # The latest of a version comes last and stays.
    seen = {(row.id, row.version): row for row in history.order_by("history_id")}
    return {(circuit_id, row[1]): seen.get(row, CircuitResult()) for row, circuit_id in moved.items()}


def _versions_taken_back(inspection, circuit_ids):
    """By circuit, the last version of a row that was there once: the count goes on, lest what a device saw of
    that row be taken for what stands in the next."""
    if not circuit_ids:
        return {}
    gone = CircuitResult.history.filter(inspection=inspection.pk, circuit__in=circuit_ids).order_by()
    return dict(gone.values_list("circuit").annotate(Max("version")))


def _merge(result, row, seen):
    outcome = RowOutcome(result)
    for name in NAMES:
        if name not in row.texts:
            continue
        text = row.texts[name]
        try:
            mine = clean_cell(name, text)
        except ValidationError as error:
            outcome.problems[name] = " ".join(error.messages)
            outcome.refused[name] = text
            continue
        now = getattr(result, name)
        base = getattr(seen.get((row.circuit_id, row.seen_at(name)), result), name)
        if cell_text(mine) == cell_text(now) or cell_text(mine) == cell_text(base):
            continue
        if cell_text(now) != cell_text(base):
            outcome.clashes[name] = (cell_text(now), cell_text(mine))
            continue
        setattr(result, name, mine)
        outcome.saved = True
    return outcome


def _write(new, changed, member, reason):
    create_records(new, member=member, reason=reason)
    if changed:
        # An upsert writes all columns in one statement; bulk_update would make a CASE for each.
        CircuitResult.objects.bulk_create(
            changed,
            update_conflicts=True,
            unique_fields=["inspection", "circuit"],
            update_fields=["version", *NAMES],
        )
        keep_history_of_changed(changed, member=member, reason=reason)
