"""The search as a page: what was found, kind by kind, each row with the way to it."""

from collections.abc import Callable
from dataclasses import dataclass

from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inspections.access import firm_of
from reports.search.find import A_FEW, A_PAGE, search
from reports.search.tables import Kind
from reports.search.words import Match
from reports.search.work_out import bring_up_to_date

LONGEST = 200  # letters that are read of what is typed


@dataclass(frozen=True)
class Item:
    """A row found: what it is, where it lies, and the address of its page."""

    title: str
    where: str
    link: str


@require_safe
def find(request):
    """What fits the words in the address; of one kind alone, more of it."""
    firm = firm_of(request)
    words = request.GET.get("q", "").strip()[:LONGEST]
    only = request.GET.get("kind") if request.GET.get("kind") in Kind.values else ""
    left = bring_up_to_date(firm)
    kinds, most = ((Kind(only),), A_PAGE) if only else (tuple(Kind), A_FEW)
    found = search(firm, words, kinds=kinds, most=most)
    context = {
        "words": words,
        "only": only,
        "groups": [(one, [_item(one.kind, row) for row in one.rows]) for one in found],
        "is_guessed": bool(found) and all(one.best is Match.SLIP for one in found),
        "left": left,
    }
    page = "reports/_found.html" if request.htmx else "reports/find.html"
    return render(request, page, context)


def _item(kind: Kind, row) -> Item:
    title, *where = _IN_WORDS[kind](row)
    lines = (line.strip(" ,") for part in where for line in part.splitlines())
    return Item(title, ", ".join(filter(None, lines)), _link(kind, row))


def _link(kind: Kind, row) -> str:
    name = "installation" if kind is Kind.INSTALLATION else kind.value
    return reverse(name, args=[row.pk])


_IN_WORDS: dict[Kind, Callable] = {
    Kind.INSTALLATION: lambda row: (row.name, row.address, row.postcode, row.client.name),
    Kind.CLIENT: lambda row: (row.name, row.address, row.phone),
    Kind.RECORD: lambda row: (
        f"{row}, issued {row.issued_at:%-d %b %Y}",
        row.inspection.installation.name,
        row.inspection.installation.client.name,
    ),
    Kind.BOARD: lambda row: (f"{row}", _retired(row), row.installation.name, row.installation.client.name),
    Kind.CIRCUIT: lambda row: (
        f"{row} {row.description}".strip(),
        _retired(row),
        row.board.installation.name,
        row.board.installation.client.name,
    ),
    Kind.LOAD: lambda row: (
        f"{row}",
        row.get_state_display().lower(),
        f"{row.circuit}",
        row.circuit.board.installation.name,
        row.circuit.board.installation.client.name,
    ),
}


def _retired(row) -> str:
    return f"retired {row.retired_on:%-d %b %Y}" if row.retired_on else ""
