"""An installation as it is drawn: the supply, each board after the one that feeds it, its circuits, and what
is left across them. From the content of a record for its report, and from the record itself for its page.
"""

from collections import defaultdict
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from inspections.models import Board, Circuit, Installation
from remedies.enums import LoadState
from remedies.labels import circuits_not_on_their_label
from remedies.models import ParallelLoad
from reports import words
from reports.content.boards import fed_from_words, in_tree_order
from reports.words import Content


class Mark(Enum):
    """What a part left across a circuit is drawn as, the one to be warned of first coming first."""

    HIDDEN = "hidden"
    SEEN = "to be seen"
    DISCONNECTED = "disconnected for test"
    SUSPECTED = "suspected"


@dataclass(frozen=True, slots=True)
class LoadDrawn:
    """A part across a circuit: its mark, and what and where it is."""

    mark: Mark
    said: str


@dataclass(frozen=True, slots=True)
class CircuitDrawn:
    """A circuit by its designation, with what is across it. on_label: the label at the board names that."""

    designation: str
    is_spare: bool
    loads: tuple[LoadDrawn, ...]
    on_label: bool = True

    @property
    def mark(self) -> Mark | None:
        """The mark of the circuit: of its parts the one to be warned of first."""
        marks = {load.mark for load in self.loads}
        return next((mark for mark in Mark if mark in marks), None)


@dataclass(frozen=True, slots=True)
class BoardDrawn:
    """A board and its circuits. depth: how many boards stand between it and the supply."""

    designation: str
    location: str
    fed_from: str
    depth: int
    circuits: tuple[CircuitDrawn, ...]

    @property
    def said(self) -> str:
        """Where it is, what feeds it and how many circuits it has."""
        many = words.counted(len(self.circuits), "circuit")
        return ", ".join(filter(None, (self.location, f"fed from {self.fed_from}", many)))

    @property
    def loaded(self) -> tuple[CircuitDrawn, ...]:
        """The circuits with something across them."""
        return tuple(circuit for circuit in self.circuits if circuit.loads)

    def entries(self) -> Iterator[str]:
        """What is across its circuits, a sentence each."""
        for circuit in self.loaded:
            unlabelled = "" if circuit.on_label else ", not on the board’s label"
            for load in circuit.loads:
                yield f"Circuit {circuit.designation}: {load.said}, {load.mark.value}{unlabelled}."


@dataclass(frozen=True, slots=True)
class InstallationDrawn:
    """Everything that is drawn. supply: in words."""

    supply: str
    boards: tuple[BoardDrawn, ...]

    @property
    def in_words(self) -> str:
        """What the drawing shows, for whoever does not see it."""
        circuits = sum(len(board.circuits) for board in self.boards)
        loaded = [circuit for board in self.boards for circuit in board.loaded]
        fed = f"{words.counted(len(self.boards), 'board')} with {words.counted(circuits, 'circuit')}"
        if not loaded:
            return f"{self.supply}, feeding {fed}; nothing is known to be across a circuit."
        hidden = sum(circuit.mark is Mark.HIDDEN for circuit in loaded)
        across = f"parts are left across {words.counted(len(loaded), 'circuit')}, hidden at {hidden} of them"
        return f"{self.supply}, feeding {fed}; {across}."


def from_content(content: Content) -> InstallationDrawn:
    """The installation as a record holds it. Whether a label names a part is not in the record."""
    loads = defaultdict(list)
    for load in content["load_register"]:
        if load["state"]["key"] != LoadState.TAKEN_OUT:
            mark = _mark(load["state"]["key"], is_hidden=load["is_hidden"])
            loads[load["circuit"]].append(LoadDrawn(mark, _said(load["what"], load["place"])))
    boards = (
        BoardDrawn(
            designation=board["designation"],
            location=board["location"],
            fed_from=board["fed_from_words"],
            depth=board["depth"],
            circuits=tuple(
                CircuitDrawn(
                    circuit["details"]["designation"], circuit["is_spare"], tuple(loads[circuit["number"]])
                )
                for circuit in board["circuits"]
            ),
        )
        for board in content["boards"]
    )
    return InstallationDrawn(words.supply(content), tuple(boards))


@dataclass(frozen=True)
class _Here:
    """A board in use and its circuits in use."""

    board: Board
    circuits: list[Circuit]


def as_it_stands(installation: Installation) -> InstallationDrawn:
    """The installation now. The number of queries does not grow with boards or circuits."""
    boards = list(installation.boards.in_use().select_related("fed_from").order_by("sort_key"))
    circuits = defaultdict(list)
    for circuit in Circuit.objects.in_use().filter(board__in=boards).order_by("sort_key"):
        circuits[circuit.board_id].append(circuit)
    loads = defaultdict(list)
    for load in ParallelLoad.objects.current().filter(circuit__board__in=boards).order_by("pk"):
        mark = _mark(load.state, is_hidden=load.is_hidden)
        loads[load.circuit_id].append(LoadDrawn(mark, _said(load.describe(), load.place)))
    unlabelled = frozenset(circuits_not_on_their_label(boards))
    supply = words.supply_of(
        installation.earthing,
        installation.get_phases_display(),
        installation.nominal_voltage_v,
        installation.frequency_hz,
    )
    tree = in_tree_order(_Here(board, circuits[board.pk]) for board in boards)
    return InstallationDrawn(supply, tuple(_board(here, depth, loads, unlabelled) for here, depth in tree))


def _board(
    here: _Here, depth: int, loads: Mapping[int, Sequence[LoadDrawn]], unlabelled: Container[int]
) -> BoardDrawn:
    board = here.board
    return BoardDrawn(
        designation=board.designation,
        location=board.location,
        fed_from=fed_from_words(board.fed_from.designation if board.fed_from else "", board.fed_from_way),
        depth=depth,
        circuits=tuple(
            CircuitDrawn(
                circuit.designation, circuit.is_spare, tuple(loads[circuit.pk]), circuit.pk not in unlabelled
            )
            for circuit in here.circuits
        ),
    )


def _mark(state: str, *, is_hidden: bool) -> Mark:
    if state == LoadState.IN_PLACE:
        return Mark.HIDDEN if is_hidden else Mark.SEEN
    return Mark.DISCONNECTED if state == LoadState.DISCONNECTED else Mark.SUSPECTED


def _said(what: str, place: str) -> str:
    return f"{what} ({place})"
