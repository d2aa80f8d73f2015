"""What a reader asks of the audit: choices and numbers in the address, so that they can be sent and kept."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.db.models import Model, Q, QuerySet
from django.http import QueryDict

from inspections.models import Client, Firm, Installation
from inspections.numbers import whole_number

EMPTY = "-"  # in the address, for a row that has nothing there


@dataclass(frozen=True)
class Choice:
    """key: in the address. value: in the column; None and the empty text stand for nothing there."""

    key: str
    words: str
    value: Any


def choices_of(choices: Sequence[tuple[str, str]]) -> tuple[Choice, ...]:
    """Choices of a TextChoices column."""
    return tuple(Choice(value or EMPTY, words, value) for value, words in choices)


def yes_or_no(yes: str, no: str) -> tuple[Choice, ...]:
    return (Choice("yes", yes, True), Choice("no", no, False))


@dataclass(frozen=True)
class Facet:
    """One column to choose by. Without ``choices``: what the rows hold, the most frequent first, or the
    highest where ``by_value``; ``words`` then names the values."""

    name: str
    label: str
    column: str
    choices: tuple[Choice, ...] = ()
    words: Callable[[Sequence[Any]], Mapping[Any, str]] | None = None
    by_value: bool = False

    @property
    def is_open(self) -> bool:
        return not self.choices

    def where(self, keys: Sequence[str]) -> Q:
        """Rows that hold any of the chosen values; every row where nothing is chosen."""
        if not keys:
            return Q()
        values = self._values(keys)
        known = [value for value in values if value is not None]
        found = Q(**{f"{self.column}__in": known}) if known else Q()
        return found | Q(**{f"{self.column}__isnull": True}) if None in values else found

    def _values(self, keys: Sequence[str]) -> list[Any]:
        if self.is_open:
            return ["" if key == EMPTY else key for key in keys]
        by_key = {choice.key: choice.value for choice in self.choices}
        return [by_key[key] for key in keys]

    def known(self, keys: Sequence[str]) -> tuple[str, ...]:
        """Those of ``keys`` that are choices here, each once."""
        mine = dict.fromkeys(key[:200] for key in keys if key)
        if self.is_open:
            return tuple(mine)
        return tuple(choice.key for choice in self.choices if choice.key in mine)


class WholeNumbers(Facet):
    """An open facet of a column of whole numbers, or of keys."""

    def known(self, keys: Sequence[str]) -> tuple[str, ...]:
        return tuple(key for key in dict.fromkeys(keys) if key == EMPTY or whole_number(key) is not None)

    def _values(self, keys: Sequence[str]) -> list[int | None]:
        return [whole_number(key) for key in keys]


@dataclass(frozen=True)
class Number:
    """A whole number that the reader sets. default: taken where none is given. only: the numbers to choose
    from, where not every one between the bounds will do."""

    name: str
    label: str
    low: int
    high: int
    default: int | None = None
    only: tuple[int, ...] = ()

    def read(self, text: str | None) -> int | None:
        """The number typed, brought inside its bounds; the default where it is none."""
        if text == "":
            return None
        try:
            number = min(max(int(text), self.low), self.high)
        except (TypeError, ValueError):
            return self.default
        return number if not self.only or number in self.only else self.default


@dataclass(frozen=True)
class Asked:
    """One reader's question. client, place: of whom alone, by their keys. order: the key of one of the
    question's orders. after: key of the last row of the page before."""

    firm: Firm
    day: date
    chosen: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    numbers: Mapping[str, int | None] = field(default_factory=dict)
    client: int | None = None
    place: int | None = None
    order: str = ""
    after: int | None = None

    def rows(self, model: type[Model]) -> QuerySet:
        """The firm's rows of one of the audit's tables, of the client and the place asked for."""
        rows = model.objects.for_firm(self.firm)
        if self.client:
            rows = rows.filter(client=self.client)
        return rows.filter(installation=self.place) if self.place else rows

    def address(self, **more: Any) -> str:
        """The choices as they stand in an address, without the page; ``more`` added."""
        pairs = [(name, key) for name, keys in self.chosen.items() for key in keys]
        pairs += [(name, "" if number is None else number) for name, number in self.numbers.items()]
        pairs += [("client", self.client)] if self.client else []
        pairs += [("place", self.place)] if self.place else []
        pairs += [("order", self.order)] if self.order else []
        return urlencode([*pairs, *more.items()])


def read_address(
    given: QueryDict,
    *,
    firm: Firm,
    day: date,
    facets: Sequence[Facet],
    numbers: Sequence[Number],
    orders: Sequence[str],
) -> Asked:
    """What an address asks; whatever is no choice there is left out."""
    chosen = {facet.name: facet.known(given.getlist(facet.name)) for facet in facets}
    order = given.get("order", "")
    return Asked(
        firm=firm,
        day=day,
        chosen={name: keys for name, keys in chosen.items() if keys},
        numbers={number.name: number.read(given.get(number.name)) for number in numbers},
        client=_of_firm(Client, firm, given.get("client", "")),
        place=_of_firm(Installation, firm, given.get("place", "")),
        order=order if order in orders[1:] else "",
        after=whole_number(given.get("after", "")),
    )


def _of_firm(model: type[Model], firm: Firm, text: str) -> int | None:
    pk = whole_number(text)
    return pk if pk and model.objects.for_firm(firm).filter(pk=pk).exists() else None
