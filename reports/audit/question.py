"""A question of the audit, and how any of them is answered: rows, a page at a time, and a count beside each
choice."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from django.db.models import Count, Model, Q, QuerySet
from django.urls import reverse

from reports.audit.asked import EMPTY, Asked, Choice, Facet, Number
from reports.sheets.figure import Figure

ROWS_A_PAGE = 50
ROWS_A_CHUNK = 1000  # of an export, read at once
OPEN_CHOICES = 12  # of a facet whose values are not fixed; more are found by narrowing the others

Value = str | int | date | None


@dataclass(frozen=True)
class Link:
    """page: name of the address, by which it is known who may open it."""

    page: str
    key: int | str
    query: str = ""

    @property
    def address(self) -> str:
        return reverse(self.page, args=[self.key]) + (f"?{self.query}" if self.query else "")


@dataclass(frozen=True)
class Column:
    """One column of the answer, on screen and in every file. value: of a row. link: to what it names.
    attention: whether it asks for someone. width_mm: on landscape A4."""

    heading: str
    width_mm: float
    value: Callable[[Any, Asked], Value]
    link: Callable[[Any], Link | None] | None = None
    attention: Callable[[Any, Asked], bool] | None = None
    is_number: bool = False


@dataclass(frozen=True)
class Order:
    """A way to sort. fields: each with ``-`` for descending; the key of the row comes last by itself."""

    label: str
    fields: tuple[str, ...]


@dataclass(frozen=True)
class Question:
    """key: in the address. lead: what it shows, in a sentence or two. base: the rows that its numbers and
    its client leave, before any facet. rows: from those, the rows shown. attach: what the rows of one page
    need beside themselves. aside: more to say above the rows. figure: what
    people would look at rather than read."""

    key: str
    title: str
    lead: str
    one: str
    several: str
    facets: tuple[Facet, ...]
    numbers: tuple[Number, ...]
    columns: tuple[Column, ...]
    orders: Mapping[str, Order]
    base: Callable[[Asked], QuerySet]
    rows: Callable[[QuerySet, Asked], QuerySet] = lambda found, asked: found
    attach: Callable[[Sequence[Model], QuerySet], None] = lambda rows, found: None
    aside: Callable[[QuerySet, Asked], Sequence[Any]] | None = None
    figure: Callable[[QuerySet, Asked], Figure | None] | None = None
    links: tuple[tuple[str, str], ...] = ()
    counts_places: bool = False
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    def found(self, asked: Asked) -> QuerySet:
        """What all the choices together leave."""
        return self.base(asked).filter(_where(self.facets, asked))

    def order(self, asked: Asked) -> Order:
        return self.orders[asked.order or next(iter(self.orders))]


@dataclass(frozen=True)
class Counted:
    """A choice with the number of rows it would leave, beside whatever else is chosen."""

    choice: Choice
    count: int
    is_chosen: bool


@dataclass(frozen=True)
class Answer:
    """total: rows that the choices leave. places: how many places they lie in, where that is counted.
    rows: one page. is_more: whether others follow."""

    total: int
    places: int | None
    facets: Sequence[tuple[Facet, Sequence[Counted]]]
    rows: Sequence[Model]
    is_more: bool
    aside: Sequence[Any] = field(default_factory=tuple)
    figure: Figure | None = None


def answer(question: Question, asked: Asked) -> Answer:
    """One page with its counts. The number of statements does not grow with rows or pages."""
    found = question.found(asked)
    total, facets = _counts(question, asked)
    shown = question.rows(found, asked)
    page = _page(shown, question.order(asked), asked, ROWS_A_PAGE + 1)
    question.attach(page[:ROWS_A_PAGE], found)
    return Answer(
        total=total,
        places=shown.count() if question.counts_places else None,
        facets=facets,
        rows=page[:ROWS_A_PAGE],
        is_more=len(page) > ROWS_A_PAGE,
        aside=question.aside(found, asked) if question.aside and not asked.after else (),
        figure=question.figure(found, asked) if question.figure and not asked.after else None,
    )


def every_row(question: Question, asked: Asked) -> Iterator[Model]:
    """All rows in order, read by the chunk, so that memory does not grow with them."""
    found = question.found(asked)
    shown, order = question.rows(found, asked), question.order(asked)
    asked = replace(asked, after=None)
    while chunk := _page(shown, order, asked, ROWS_A_CHUNK):
        question.attach(chunk, found)
        yield from chunk
        if len(chunk) < ROWS_A_CHUNK:
            return
        asked = replace(asked, after=chunk[-1].pk)


def _where(facets: Sequence[Facet], asked: Asked) -> Q:
    every = Q()
    for facet in facets:
        every &= facet.where(asked.chosen.get(facet.name, ()))
    return every


def _counts(question: Question, asked: Asked) -> tuple[int, list[tuple[Facet, list[Counted]]]]:
    """The total, and by facet the count of each choice under all that is chosen in the others.

    The facets with fixed choices take one statement together: rows counted by every combination there is.
    """
    closed = [facet for facet in question.facets if not facet.is_open]
    opened = [facet for facet in question.facets if facet.is_open]
    base = question.base(asked)
    columns = [facet.column for facet in closed]
    grouped = base.filter(_where(opened, asked)).order_by().values_list(*columns).annotate(n=Count("*"))
    by_key = [{choice.value: choice.key for choice in facet.choices} for facet in closed]
    chosen = [set(asked.chosen.get(facet.name, ())) for facet in closed]
    counts = [Counter() for _ in closed]
    total = 0
    for *values, number in grouped:
        keys = [names.get(value, EMPTY) for names, value in zip(by_key, values, strict=True)]
        misses = [n for n, wanted in enumerate(chosen) if wanted and keys[n] not in wanted]
        if not misses:
            total += number
            for count, key in zip(counts, keys, strict=True):
                count[key] += number
        elif len(misses) == 1:
            counts[misses[0]][keys[misses[0]]] += number
    told = {
        facet.name: [
            Counted(choice, count[choice.key], choice.key in wanted)
            for choice in facet.choices
            if count[choice.key] or choice.key in wanted
        ]
        for facet, count, wanted in zip(closed, counts, chosen, strict=True)
    }
    for facet in opened:
        others = [other for other in question.facets if other is not facet]
        told[facet.name] = _open_counts(facet, base.filter(_where(others, asked)), asked)
    return total, [(facet, told[facet.name]) for facet in question.facets if told[facet.name]]


def _open_counts(facet: Facet, rows: QuerySet, asked: Asked) -> list[Counted]:
    order = (f"-{facet.column}",) if facet.by_value else ("-n", facet.column)
    grouped = rows.order_by().values_list(facet.column).annotate(n=Count("*")).order_by(*order)
    counts = dict(grouped[:OPEN_CHOICES])
    chosen = asked.chosen.get(facet.name, ())
    counted = {str(value) if value not in ("", None) else EMPTY: number for value, number in counts.items()}
    for key in chosen:
        if key not in counted:
            counted[key] = rows.filter(facet.where((key,))).count()
    words = facet.words(list(counted)) if facet.words else {}
    return [
        Counted(
            Choice(key, words.get(key, key if key != EMPTY else "none recorded"), key), number, key in chosen
        )
        for key, number in counted.items()
        if number or key in chosen
    ]


def _page(rows: QuerySet, order: Order, asked: Asked, size: int) -> list[Model]:
    """The rows that follow the one asked for, found by its place in the order and not by counting."""
    fields = (*order.fields, "pk")
    last = rows.model.objects.for_firm(asked.firm).filter(pk=asked.after).first() if asked.after else None
    if last is not None:
        rows = rows.filter(_beyond(fields, last))
    return list(rows.order_by(*fields)[:size])


def _beyond(fields: Sequence[str], last: Model) -> Q:
    beyond, same = Q(), Q()
    for name in fields:
        column, after = name.removeprefix("-"), "lt" if name.startswith("-") else "gt"
        value = getattr(last, column)
        beyond |= same & Q(**{f"{column}__{after}": value})
        same &= Q(**{column: value})
    first = fields[0]
    bound = "lte" if first.startswith("-") else "gte"
    # Said once more by itself, so that an index can begin there.
    return Q(**{f"{first.removeprefix('-')}__{bound}": getattr(last, first.removeprefix("-"))}) & beyond
