"""An act: all that one request wrote to the record, as the entries that the histories made of it."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Any

from django.apps import apps
from django.db.models import Model
from django.dispatch import receiver
from simple_history.signals import post_create_historical_record


@dataclass
class Run:
    """``count`` entries of the history of the model ``label``, numbered on from ``first``."""

    label: str
    first: int
    count: int = 1

    @property
    def model(self) -> type[Model]:
        return apps.get_model(self.label)

    @property
    def last(self) -> int:
        return self.first + self.count - 1


@dataclass
class Act:
    """runs: its entries, in the order in which they were made. visits: those whose record it wrote, with the
    status in which it left them. makes_rows: whether there are rows that were not there before."""

    runs: list[Run] = field(default_factory=list)
    visits: dict[int, str] = field(default_factory=dict)
    makes_rows: bool = False

    def note(self, entry: Any) -> None:
        label = entry.instance_type._meta.label
        last = self.runs[-1] if self.runs else None
        if last and last.label == label and last.last + 1 == entry.history_id:
            last.count += 1
        else:
            self.runs.append(Run(label, entry.history_id))
        self.makes_rows |= entry.history_type == "+"
        if label == "inspections.Inspection" and entry.id in self.visits:
            self.visits[entry.id] = entry.status

    def as_values(self) -> list:
        """What can be written down in a form, and read again."""
        return [[[run.label, run.first, run.count] for run in self.runs], list(self.visits.items())]

    @classmethod
    def of_values(cls, values: list) -> "Act":
        runs, visits = values
        return cls([Run(*run) for run in runs], dict(visits))


_now: ContextVar[Act | None] = ContextVar("act", default=None)


@contextmanager
def acting() -> Iterator[Act]:
    """Everything written within is one act."""
    token = _now.set(act := Act())
    try:
        yield act
    finally:
        _now.reset(token)


def note(entries: Iterable[Any]) -> None:
    """Entries of a history belong to the act under way, if one is."""
    if act := _now.get():
        for entry in entries:
            act.note(entry)


def note_visit(visit: Any) -> None:
    """The act under way writes the record of this inspection, which is held, as its status allows now."""
    if act := _now.get():
        act.visits[visit.pk] = visit.status


@receiver(post_create_historical_record)
def note_one(history_instance, **kwargs):
    note([history_instance])
