"""The board label: what stands on it, when it was printed and stuck, and whether it still tells the truth."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property

from django.core.exceptions import ValidationError
from django.db import transaction

from inspections.models import Board, Circuit, Member
from inspections.services.record import save_record
from remedies.models import BoardLabel, ParallelLoad

HEADING = "Loads left across circuits:"
ADVICE = "Disconnect before insulation test L-N. Put back after."
NOTHING = "No loads are known to be left across its circuits."


@dataclass(frozen=True)
class LabelStock:
    """Label stock to choose from: its key in addresses, its name, and how many labels a sheet has."""

    key: str
    name: str
    places: int = 1


STOCKS = (
    LabelStock("single-100x50", "100 × 50 mm, single"),
    LabelStock("roll-62x29", "62 × 29 mm, on a continuous roll"),
    LabelStock("a4-2x4", "A4 sheet, 2 × 4 of 99.1 × 67.7 mm", 8),
    LabelStock("a4-3x7", "A4 sheet, 3 × 7 of 63.5 × 38.1 mm", 21),
    LabelStock("a4-3x8", "A4 sheet, 3 × 8 of 70 × 36 mm", 24),
)


@dataclass(frozen=True)
class LabelWords:
    """What a label says: its title, a line for each circuit with loads and what to do, and its date."""

    title: tuple[str, ...]
    lines: tuple[str, ...]
    date: str

    @property
    def body(self) -> str:
        """All but the date."""
        return "\n".join((*self.title, *self.lines))

    @property
    def text(self) -> str:
        """All that stands on the label. Its QR code holds the same."""
        return f"{self.body}\n{self.date}"

    @classmethod
    def of_text(cls, text: str) -> "LabelWords":
        """The words of a label from all that stands on it."""
        title, *lines, day = text.split("\n")
        return cls((title,), tuple(lines), day)


def label_words(board: Board, on: date) -> LabelWords:
    """What the label of a board says when it is printed on a day."""
    return _words(board, tuple(_circuit_lines([board])[board.pk].values()), on)


def _words(board: Board, lines: tuple[str, ...], on: date) -> LabelWords:
    return LabelWords(
        title=(f"{board.designation}, {board.installation.name}",),
        lines=(HEADING, *lines, ADVICE) if lines else (NOTHING,),
        date=f"{on:%-d %b %Y}",
    )


def label_body(board: Board) -> str:
    """The text of the label without its date."""
    return label_words(board, date.min).body


def _circuit_lines(boards: Iterable[Board]) -> dict[int, dict[int, str]]:
    """By board id and circuit id, the line a label has for each circuit with loads. One query."""
    loads = (
        ParallelLoad.objects.present()
        .filter(circuit__board__in=boards, circuit__retired_on__isnull=True)
        .select_related("circuit")
        .order_by("circuit__board", "circuit__sort_key", "circuit", "pk")
    )
    by_circuit: dict[Circuit, list[ParallelLoad]] = defaultdict(list)
    for load in loads:
        by_circuit[load.circuit].append(load)
    lines: dict[int, dict[int, str]] = defaultdict(dict)
    for circuit, across in by_circuit.items():
        told = "; ".join(f"{load.in_brief()}, {load.place}" for load in across)
        lines[circuit.board_id][circuit.pk] = f"{circuit.designation}: {told}"
    return lines


def words_to_print(board: Board, on: date) -> LabelWords:
    """What stands on a label printed now: the very text of the one that waits to be stuck, if it still tells
    the truth, so that the record and the label cannot differ by a day."""
    status = label_status(board)
    if status.waiting and not status.waiting_is_out_of_date:
        return LabelWords.of_text(status.waiting.text)
    return label_words(board, on)


@dataclass(frozen=True)
class LabelStatus:
    """How a board stands with its label.

    body: what a label printed now would say, without its date. lines: by circuit id, the line in it of each
    circuit with loads. stuck: the label at the board. waiting: a label printed later, and not yet confirmed
    stuck.
    """

    body: str
    lines: Mapping[int, str]
    stuck: BoardLabel | None
    waiting: BoardLabel | None

    @property
    def has_loads(self) -> bool:
        return bool(self.lines)

    @cached_property
    def not_told(self) -> frozenset[int]:
        """Ids of circuits with loads that the label stuck at the board does not name as they now are: all of
        them where none is stuck."""
        told = set(self.stuck.text.splitlines()) if self.stuck else set()
        return frozenset(pk for pk, line in self.lines.items() if line not in told)

    @property
    def is_out_of_date(self) -> bool:
        return not _says(self.stuck, self.body) if self.stuck else self.has_loads

    @property
    def is_to_print(self) -> bool:
        """Whether the next thing to do is to print: nothing true is stuck, and nothing true waits to be."""
        return self.is_out_of_date and (self.waiting is None or self.waiting_is_out_of_date)

    @property
    def is_untrue(self) -> bool:
        """Whether the label that is stuck tells what is no longer so: worse than none."""
        return self.stuck is not None and self.is_out_of_date

    @property
    def waiting_is_out_of_date(self) -> bool:
        return self.waiting is not None and not _says(self.waiting, self.body)

    @property
    def words(self) -> str:
        """The state in a sentence."""
        if self.stuck and not self.is_out_of_date:
            return f"The label stuck on {self.stuck.stuck_on:%-d %b %Y} is up to date."
        if self.waiting and not self.waiting_is_out_of_date:
            return "A label is printed and waits to be stuck at the board."
        if self.stuck:
            return f"The label stuck on {self.stuck.stuck_on:%-d %b %Y} is out of date: print a new one."
        if self.has_loads:
            return "There is no label at this board yet: print one."
        return "No label is needed: no loads are known at this board."

    @property
    def brief(self) -> str:
        """The state in the few words a cell holds."""
        if not self.is_out_of_date:
            return "up to date" if self.stuck else "not needed"
        return "out of date" if self.stuck else "none yet"


def _says(label: BoardLabel, body: str) -> bool:
    return label.text.rpartition("\n")[0] == body


def label_status(board: Board) -> LabelStatus:
    """How a board stands with its label now."""
    return label_statuses([board])[board.pk]


def label_statuses(boards: Sequence[Board]) -> dict[int, LabelStatus]:
    """How each board stands with its label now, by board id. Two queries, and the installations'."""
    lines = _circuit_lines(boards)
    stuck: dict[int, BoardLabel] = {}
    waiting: dict[int, BoardLabel] = {}
    for label in BoardLabel.objects.filter(board__in=boards).order_by("stuck_on", "printed_at"):
        (waiting if label.stuck_on is None else stuck)[label.board_id] = label
    statuses = {}
    for board in boards:
        at_board, printed = stuck.get(board.pk), waiting.get(board.pk)
        if at_board and printed and printed.printed_at <= at_board.printed_at:
            printed = None
        told = lines[board.pk]
        body = _words(board, tuple(told.values()), date.min).body
        statuses[board.pk] = LabelStatus(body, told, stuck=at_board, waiting=printed)
    return statuses


def circuits_not_on_their_label(boards: Sequence[Board]) -> list[int]:
    """Ids of circuits with loads that no label stuck at their board names as they now are."""
    return [pk for status in label_statuses(boards).values() for pk in status.not_told]


@transaction.atomic
def print_label(*, board: Board, at: datetime, on: date, member: Member) -> BoardLabel:
    """Record that a label was printed, with all that stands on it. ``on`` is the date printed on it."""
    label = BoardLabel(board=board, text=label_words(board, on).text, printed_at=at, printed_by=member)
    return save_record(label, member=member, reason="Printed")


@transaction.atomic
def confirm_stuck(*, label: BoardLabel, on: date, member: Member) -> BoardLabel:
    """Record that a printed label is at the board.

    Raises ValidationError when it was stuck before, or when the loads have changed since it was printed.
    """
    if label.stuck_on is not None:
        raise ValidationError(f"This label was already stuck, on {label.stuck_on:%-d %b %Y}.")
    if not _says(label, label_body(label.board)):
        raise ValidationError(
            "The loads of this board have changed since the label was printed. Print a new one."
        )
    if on < label.printed_at.date():
        raise ValidationError(
            {"stuck_on": f"It was printed on {label.printed_at:%-d %b %Y}, after that day."}
        )
    label.stuck_on, label.stuck_by = on, member
    return save_record(label, member=member, reason="Stuck at the board")
