"""Choices that several forms offer."""

from itertools import groupby

from django.db.models import Q

from inspections.models import Board, Circuit, Installation


def boards_of(installation: Installation, also=()):
    """Boards in use of a place, and those of ``also``, which a row names already."""
    return Board.objects.filter(Q(retired_on__isnull=True) | Q(pk__in=also), installation=installation)


def circuits_of(installation: Installation, also=()):
    """Circuits in use of a place, and those of ``also``, in the order of its boards and ways."""
    return (
        Circuit.objects.filter(Q(retired_on__isnull=True) | Q(pk__in=also), board__installation=installation)
        .order_by("board__sort_key", "sort_key")
        .select_related("board")
    )


def by_board(circuits) -> list[tuple[str, list[tuple[int, str]]]]:
    """Circuits as choices under the names of their boards."""
    return [
        (str(board), [(circuit.pk, _named(circuit)) for circuit in on_board])
        for board, on_board in groupby(circuits, key=lambda circuit: circuit.board)
    ]


def _named(circuit):
    return f"{circuit.designation}  {circuit.description or 'no description'}"
