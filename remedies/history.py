"""What became of a load, step by step, from its change history."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from inspections.models import Installation
from remedies.models import ParallelLoad
from remedies.wording import plain

# Told by the steps themselves, or of no meaning to a reader.
_NOT_TOLD = (
    "id", "circuit", "inspection", "state", "state_since", "taken_out_on", "taken_out_by", "replaced_by",
)  # fmt: skip


@dataclass(frozen=True)
class Step:
    """One change: when, who, what for, and what it was before, field by field."""

    at: datetime
    by: str
    what: str
    changes: tuple[str, ...]


def steps_of(load: ParallelLoad) -> list[Step]:
    """Every change of a load, latest first."""
    rows = list(load.history.select_related("history_user").order_by("-history_date", "-history_id"))
    return [_step(row, before) for row, before in zip(rows, [*rows[1:], None], strict=True)]


def _step(row, before) -> Step:
    return Step(
        at=row.history_date,
        by=row.history_user.name if row.history_user else "not recorded",
        what=row.history_change_reason or ("Recorded" if before is None else "Changed"),
        changes=tuple(_changes(row, before)) if before else (),
    )


def _changes(row, before) -> Iterable[str]:
    for field in ParallelLoad._meta.concrete_fields:
        if field.name in _NOT_TOLD:
            continue
        was, now = getattr(before, field.attname), getattr(row, field.attname)
        if was != now:
            yield f"{field.verbose_name}: {_in_words(field, was)}, now {_in_words(field, now)}"


def _in_words(field, value) -> str:
    if value in (None, ""):
        return "not said"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if field.choices:
        return dict(field.flatchoices).get(value, value)
    if field.get_internal_type() == "DecimalField":
        return plain(value)
    if field.name == "photo":
        return "a photograph"
    return f"{value:%-d %b %Y}" if field.get_internal_type() == "DateField" else str(value)


@dataclass(frozen=True)
class RuledOut:
    """A suspicion that proved groundless: no entry any more, but its history says who dropped it and why."""

    what: str
    circuit_id: int
    at: datetime
    by: str
    why: str


def ruled_out(installation: Installation) -> list[RuledOut]:
    """The suspicions of an installation that proved groundless, latest first."""
    rows = (
        ParallelLoad.history.filter(history_type="-", circuit__board__installation=installation)
        .select_related("history_user", "circuit__board")
        .order_by("-history_date")
    )
    return [
        RuledOut(
            what=f"{row.circuit}: {row.instance.in_brief()}, {row.place}",
            circuit_id=row.circuit_id,
            at=row.history_date,
            by=row.history_user.name if row.history_user else "not recorded",
            why=row.history_change_reason or "",
        )
        for row in rows
    ]
