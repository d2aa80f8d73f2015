"""Searching: every word typed must fit the row or, below a board, where it lies; the best fit comes first.

A row is found as well as the worst of the words fits it: each exactly, or as a beginning, or with a slip.
What lies at a board is named by at least one word of its own, so that an address does not bring up all its
circuits. Statements begin with the word that leaves least to look through, so that the time hangs on what is
found and not on how large the record is.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import connection
from django.db.models import Model

from inspections.models import Board, Circuit, Client, Firm, Installation
from remedies.models import ParallelLoad
from reports.models import IssuedRecord
from reports.search.tables import Kind, SearchRow, SearchSpelling, SearchWord
from reports.search.words import Match, one_left_out, with_postcode_joined, words_of

MOST_WORDS = 8  # of what is typed; more narrow nothing down
A_FEW, A_PAGE = 6, 50  # rows of each kind shown together, and of one kind alone
_ENOUGH = 2_000  # rows counted of a word; it is then a common one
_CIRCUITS_A_BOARD = 12  # about; to weigh boards against rows
_BELOW_A_BOARD = (Kind.CIRCUIT, Kind.LOAD)
_WORDS, _ROWS = SearchWord._meta.db_table, SearchRow._meta.db_table

Fits = tuple[str, ...]
"""The words of the record that one typed word fits."""


@dataclass(frozen=True)
class Found:
    """Rows of one kind, best first. is_more: whether there are others."""

    kind: Kind
    rows: Sequence[Model]
    is_more: bool
    best: Match


def search(firm: Firm, typed: str, *, kinds: Sequence[Kind] = tuple(Kind), most: int = A_FEW) -> list[Found]:
    """What of a firm fits ``typed``, kind by kind, those with the best fits first."""
    fits = _fits(firm, typed)
    if not fits:
        return []
    found = [_of_kind(firm, kind, fits, most) for kind in kinds]
    return sorted((one for one in found if one.rows), key=lambda one: one.best)


def _fits(firm: Firm, typed: str) -> list[dict[str, Match]]:
    """How well which words of the record fit each of the words typed, a postcode read as one if there is."""
    apart = words_of(typed)[:MOST_WORDS]
    joined = words_of(with_postcode_joined(typed))[:MOST_WORDS]
    known = _known(firm, {*apart, *joined})
    together = [known[word] for word in joined]
    return together if all(together) else [known[word] for word in apart]


def _known(firm: Firm, typed: set[str]) -> dict[str, dict[str, Match]]:
    slips = {word: one_left_out(word) for word in typed}
    asked = typed.union(*slips.values())
    rows = SearchSpelling.objects.for_firm(firm).filter(spelling__in=asked)
    known: dict[str, dict[str, Match]] = {word: {} for word in typed}
    for spelling, how, word in rows.values_list("spelling", "how", "word"):
        for one in typed:
            match = _match(one, slips[one], spelling, Match(how), word)
            if match is not None:
                known[one][word] = min(match, known[one].get(word, match))
    return known


def _match(typed: str, slips: frozenset[str], spelling: str, how: Match, word: str) -> Match | None:
    if how is not Match.SLIP and spelling == typed:
        return how
    if how is not Match.BEGINS and spelling in {typed, *slips} and slips and one_left_out(word):
        return Match.SLIP
    return None


def _of_kind(firm: Firm, kind: Kind, fits: Sequence[dict[str, Match]], most: int) -> Found:
    found: dict[int, Match] = {}
    before: list[Fits] = []
    for worst in Match:
        sets = [tuple(sorted(word for word, match in one.items() if match <= worst)) for one in fits]
        if sets == before or not all(sets):
            continue
        before = sets
        rows = _Rows(firm, kind, sets, limit=most + 1 + len(found))
        for target in rows.below_boards() if kind in _BELOW_A_BOARD else rows.by_own_words():
            found.setdefault(target, worst)
        if len(found) > most:
            break
    shown = list(found)[:most]
    by_key = _READ[kind](firm).in_bulk(shown)
    rows = [by_key[target] for target in shown if target in by_key]
    return Found(kind, rows, len(found) > most, min(found.values(), default=Match.SLIP))


class _Rows:
    """The rows of one kind that hold, for each set of words, one of them."""

    def __init__(self, firm: Firm, kind: Kind, sets: Sequence[Fits], limit: int):
        self.firm, self.kind, self.sets, self.limit = firm, kind, sets, limit
        self.own = self._reach(kind)

    def _reach(self, kind: Kind) -> list[int]:
        """How many rows of ``kind`` hold a word of each set; ``_ENOUGH`` where it is as many or more."""
        counted = [
            f"(SELECT count(*) FROM (SELECT 1 FROM {_WORDS} w JOIN {_ROWS} r ON r.text_id = w.text_id"
            f" WHERE w.firm_id = %s AND w.kind = %s AND w.word IN ({_marks(words)}) LIMIT {_ENOUGH}) AS c)"
            for words in self.sets
        ]
        given = [value for words in self.sets for value in (self.firm.pk, kind, *words)]
        return list(_read(f"SELECT {', '.join(counted)}", given)[0])

    def by_own_words(self) -> list[int]:
        """Where every word is the row's own."""
        if not all(self.own):
            return []
        return self._from_texts(self.own.index(min(self.own)), boards=[0] * len(self.sets))

    def below_boards(self) -> list[int]:
        """Where each word is the row's own or its board's, and at least one is its own."""
        boards = self._reach(Kind.BOARD)
        reach = [own + _CIRCUITS_A_BOARD * board for own, board in zip(self.own, boards, strict=True)]
        if not all(reach) or not any(self.own):
            return []
        first = reach.index(min(reach))
        found = self._from_texts(first, boards) if self.own[first] else []
        return found + self._from_boards(first, boards) if boards[first] else found

    def _from_texts(self, first: int, boards: Sequence[int]) -> list[int]:
        """Rows with a word of the set ``first`` of their own; the others' too, or in their board's."""
        others, given = self._others(first, boards, own="w.text_id")
        at_board = f"JOIN {_ROWS} b ON b.kind = 'board' AND b.target = r.board_id" if any(boards) else ""
        words = self.sets[first]
        return _keys(
            f"SELECT r.target FROM {_WORDS} w JOIN {_ROWS} r ON r.text_id = w.text_id"
            f" {at_board} WHERE w.firm_id = %s AND w.kind = %s AND {_begins_with(words)}{others}"
            " ORDER BY w.text_id, r.target LIMIT %s",
            (self.firm.pk, self.kind, *words, *words, *given, self.limit),
        )

    def _from_boards(self, first: int, boards: Sequence[int]) -> list[int]:
        """Rows at boards with a word of the set ``first``, one of the others their own."""
        own = [words for at, words in enumerate(self.sets) if at != first and self.own[at]]
        if not own:
            return []
        others, given = self._others(first, boards, own="r.text_id")
        words = self.sets[first]
        return _keys(
            f"SELECT r.target FROM {_WORDS} w"
            f" JOIN {_ROWS} b ON b.text_id = w.text_id JOIN {_ROWS} r ON r.board_id = b.target"
            f" WHERE w.firm_id = %s AND w.kind = 'board' AND {_begins_with(words)}"
            f" AND r.kind = %s{others} AND ({' OR '.join(_holds('r.text_id', one) for one in own)})"
            " ORDER BY w.text_id, b.target, r.target LIMIT %s",
            (self.firm.pk, *words, *words, self.kind, *given, *itertools.chain(*own), self.limit),
        )

    def _others(self, first: int, boards: Sequence[int], own: str) -> tuple[str, list[str]]:
        """The conditions of every set but ``first``, with the words they are given."""
        conditions, given = "", []
        for at, words in enumerate(self.sets):
            reached = ((own, self.own[at]), ("b.text_id", boards[at]))
            places = [place for place, rows in reached if rows]
            if at != first:
                conditions += f" AND ({' OR '.join(_holds(place, words) for place in places)})"
                given += words * len(places)
        return conditions, given


def _holds(text: str, words: Fits) -> str:
    return f"EXISTS (SELECT 1 FROM {_WORDS} o WHERE o.text_id = {text} AND o.word IN ({_marks(words)}))"


def _begins_with(words: Fits) -> str:
    """The condition of the words begun with. A text that holds several of them is met once, by the first of
    them; DISTINCT would do it too, but only after reading all."""
    return (
        f"w.word IN ({_marks(words)}) AND NOT EXISTS (SELECT 1 FROM {_WORDS} e WHERE e.text_id = w.text_id"
        f" AND e.word < w.word AND e.word IN ({_marks(words)}))"
    )


def _marks(words: Fits) -> str:
    return ", ".join(["%s"] * len(words))


def _read(sql: str, given: Sequence) -> list[tuple]:
    with connection.cursor() as cursor:
        cursor.execute(sql, given)
        return cursor.fetchall()


def _keys(sql: str, given: Sequence) -> list[int]:
    return [key for (key,) in _read(sql, given)]


_READ = {
    Kind.INSTALLATION: lambda firm: Installation.objects.for_firm(firm).select_related("client"),
    Kind.CLIENT: lambda firm: Client.objects.for_firm(firm),
    Kind.RECORD: lambda firm: (
        IssuedRecord.objects.for_firm(firm)
        .defer("content")
        .select_related("inspection__installation__client")
    ),
    Kind.BOARD: lambda firm: Board.objects.for_firm(firm).select_related("installation__client"),
    Kind.CIRCUIT: lambda firm: Circuit.objects.for_firm(firm).select_related("board__installation__client"),
    Kind.LOAD: lambda firm: ParallelLoad.objects.for_firm(firm).select_related(
        "circuit__board__installation__client"
    ),
}
