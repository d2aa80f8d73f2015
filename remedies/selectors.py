"""Questions asked of the load register."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from inspections.models import Board, Firm, Installation
from remedies.labels import circuits_not_on_their_label
from remedies.models import BoardLabel, ParallelLoad, ParallelLoadQuerySet

ALL_STATES = "all"


@dataclass(frozen=True)
class RegisterFilter:
    """What a reader of the register asks for. Empty or None: do not ask.

    state: one of LoadState, ``all``, or empty for whatever has not been taken out.
    seen_at_v: only loads that a live-live insulation test at that voltage would see.
    unlabelled: only present loads that no label stuck at their board names as they now are.
    """

    kind: str = ""
    state: str = ""
    is_hidden: bool | None = None
    seen_at_v: int | None = None
    unlabelled: bool = False


def installation_register(
    installation: Installation, chosen: RegisterFilter = RegisterFilter()
) -> ParallelLoadQuerySet:
    """The load register of one installation, in the order of its boards and ways."""
    return _chosen(ParallelLoad.objects.for_installation(installation), chosen)


def firm_register(firm: Firm, chosen: RegisterFilter = RegisterFilter()) -> ParallelLoadQuerySet:
    """The load register of a whole firm, by installation."""
    loads = _chosen(ParallelLoad.objects.for_firm(firm), chosen)
    return loads.order_by(
        "circuit__board__installation__name",
        "circuit__board__installation",
        "circuit__board__sort_key",
        "circuit__sort_key",
        "pk",
    )


def _chosen(loads: ParallelLoadQuerySet, chosen: RegisterFilter) -> ParallelLoadQuerySet:
    loads = loads.select_related("circuit__board__installation__client")
    if not chosen.state:
        loads = loads.current()
    elif chosen.state != ALL_STATES:
        loads = loads.filter(state=chosen.state)
    if chosen.kind:
        loads = loads.filter(kind=chosen.kind)
    if chosen.is_hidden is not None:
        loads = loads.filter(is_hidden=chosen.is_hidden)
    if chosen.seen_at_v:
        loads = loads.seen_live_live(chosen.seen_at_v)
    return _unlabelled(loads) if chosen.unlabelled else loads


def _unlabelled(loads: ParallelLoadQuerySet) -> ParallelLoadQuerySet:
    """Present loads whose board has no label stuck, or one that does not name them as they are."""
    stuck = BoardLabel.objects.filter(board=OuterRef("circuit__board"), stuck_on__isnull=False)
    loads = loads.present().filter(circuit__retired_on__isnull=True)
    labelled_boards = Board.objects.select_related("installation").filter(
        pk__in=loads.filter(Exists(stuck)).order_by().values("circuit__board")
    )
    return loads.filter(~Exists(stuck) | Q(circuit__in=circuits_not_on_their_label(labelled_boards)))


def loads_by_circuit(board: Board) -> dict[int, list[ParallelLoad]]:
    """The loads of a board that have not been taken out, by circuit id. One query."""
    loads = defaultdict(list)
    for load in ParallelLoad.objects.current().filter(circuit__board=board).order_by("circuit", "pk"):
        loads[load.circuit_id].append(load)
    return dict(loads)


def not_put_back(installation: Installation) -> ParallelLoadQuerySet:
    """Loads of an installation that were disconnected for a test and not put back."""
    return (
        ParallelLoad.objects.for_installation(installation)
        .not_put_back()
        .select_related("circuit__board")
        .order_by("state_since", "pk")
    )
