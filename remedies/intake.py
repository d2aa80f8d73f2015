"""The parallel loads of a spreadsheet: compared with the register, then entered in it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError

from inspections.intake.result import IntakeRow, Problem
from inspections.models import Inspection
from remedies.enums import LoadState
from remedies.models import ParallelLoad
from remedies.services import change_load, disconnect_for_test, record_load, take_out_load

VALUES = (
    "count", "capacitor_class", "capacitance_uf", "resistance_ohm", "resistors_in_series",
    "discharge_resistor_ohm", "tolerance_percent", "rated_voltage_v", "rated_power_w", "connection", "access",
    "access_minutes", "is_hidden", "reason", "remarks",
)  # fmt: skip
_LIFE = ("state", "taken_out_on", "taken_out_by")


@dataclass
class _Entry:
    """One row: the load it would enter, or change, and the circuit it stands on."""

    load: ParallelLoad
    circuit: Any
    life: dict[str, Any]
    changed: tuple[str, ...] = ()

    @property
    def line(self) -> str:
        changes = f" (changes {', '.join(self.changed)})" if self.changed else ""
        return f"{self.circuit.label}: {self.load}{changes}"


@dataclass
class LoadsPlan:
    """What a file says of the register. ``lines``: one for each load that would be entered or changed."""

    inspection: Inspection
    entries: list[_Entry] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    heading = "Loads left across circuits"

    @property
    def lines(self) -> list[str]:
        return [entry.line for entry in self.entries]

    def commit(self, circuit_of: Callable, member) -> None:
        """Enter and change what was planned, within the caller's transaction."""
        for entry in self.entries:
            if entry.changed:
                change_load(load=entry.load, member=member, reason="From a spreadsheet")
                continue
            entry.load.circuit = circuit_of(entry.circuit)
            record_load(load=entry.load, member=member, reason="From a spreadsheet")
            if entry.life["state"] == LoadState.DISCONNECTED:
                disconnect_for_test(load=entry.load, on=self.inspection.started_on, member=member)
            elif entry.life["state"] == LoadState.TAKEN_OUT:
                take_out_load(
                    load=entry.load,
                    on=entry.life["taken_out_on"],
                    by=entry.life["taken_out_by"],
                    member=member,
                )


def plan_loads(rows: Iterable[IntakeRow], inspection: Inspection, circuit_of: Callable) -> LoadsPlan:
    """Compare rows of a file with the register. ``circuit_of`` finds the planned circuit of a row."""
    plan = LoadsPlan(inspection)
    known = {
        (load.circuit_id, load.kind, load.place.lower()): load
        for load in ParallelLoad.objects.for_installation(inspection.installation)
    }
    for row in rows:
        if any(cell.problem for cell in row.cells.values()):
            continue  # told by the file's own problems
        circuit = circuit_of(row)
        if circuit is None:
            named = row.cells.get("circuit")
            words = f"No circuit “{named.found if named else ''}” is known on that board."
            plan.problems.append(Problem(row.sheet, row.number, named.column if named else "", words))
            continue
        try:
            _take(plan, row, circuit, known)
        except ValidationError as error:
            plan.problems.append(Problem(row.sheet, row.number, "", " ".join(error.messages)))
    return plan


def _take(plan, row, circuit, known):
    values = {name: _value(name, cell.text) for name, cell in row.cells.items() if name in _FIELDS}
    life = {name: values.pop(name, None) for name in _LIFE}
    life["state"] = life["state"] or LoadState.IN_PLACE
    place = values.get("place") or "not said where"
    kind = values.get("kind", "")
    standing = known.get((circuit.circuit.pk, kind, place.lower())) if circuit.circuit else None
    if standing:
        changed = tuple(name for name in VALUES if name in values and getattr(standing, name) != values[name])
        for name in changed:
            setattr(standing, name, values[name])
        if changed:
            labels = tuple(str(ParallelLoad._meta.get_field(name).verbose_name) for name in changed)
            plan.entries.append(_Entry(standing, circuit, life, labels))
        return
    values.setdefault("since", plan.inspection.started_on)
    state = LoadState.SUSPECTED if life["state"] == LoadState.SUSPECTED else LoadState.IN_PLACE
    load = ParallelLoad(**{**values, "place": place, "state": state, "inspection": plan.inspection})
    load.state_since = load.since
    load.full_clean(exclude=["circuit", "inspection"], validate_constraints=False)
    if life["state"] == LoadState.TAKEN_OUT and not (life["taken_out_on"] and life["taken_out_by"]):
        raise ValidationError("A load taken out says when and by whom. Fill in those two columns.")
    plan.entries.append(_Entry(load, circuit, life))


_FIELDS = ("kind", "place", "origin", "since", *VALUES, *_LIFE)


def _value(name: str, text: str) -> Any:
    """The value of one cell, as the register keeps it."""
    if name == "is_hidden":
        return text == "yes"
    if name in ("since", "taken_out_on"):
        return date.fromisoformat(text)
    value = ParallelLoad._meta.get_field(name).clean(text, None)
    return value.normalize() + 0 if isinstance(value, Decimal) else value
