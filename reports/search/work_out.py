"""The words of one place or client, worked out from the record, and of every one that has changed."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import blake2b

from django.db import transaction

from inspections.models import Board, Circuit, Client, Firm, Installation
from remedies.models import ParallelLoad
from reports.models import IssuedRecord
from reports.search.tables import Kind, SearchMark, SearchRow, SearchSpelling, SearchText, SearchWord
from reports.search.words import Match, spellings, words_of

AT_ONCE = 200  # places worked out while a person waits; more are left to ``manage.py work_out_search``
_BATCH = 200
_ROWS_AT_ONCE = 2000


@dataclass(frozen=True, slots=True)
class Said:
    """The words of one row of the record."""

    kind: Kind
    target: int
    words: tuple[str, ...]
    installation: int | None = None
    board: int | None = None

    @property
    def digest(self) -> str:
        return blake2b(" ".join(self.words).encode(), digest_size=16).hexdigest()


def bring_up_to_date(firm: Firm, limit: int | None = AT_ONCE) -> int:
    """Work out what changed since the last time, of ``limit`` places and of as many clients; returns how
    many are left."""
    left = 0
    for column, work_out in (("client_id", _work_out_clients), ("installation_id", _work_out_places)):
        marks = SearchMark.objects.filter(firm_id=firm.pk, **{f"{column}__isnull": False})
        marked = list(marks.order_by(column).values_list(column, flat=True).distinct())
        now = marked if limit is None else marked[:limit]
        for first in range(0, len(now), _BATCH):
            work_out(firm, now[first : first + _BATCH])
        left += len(marked) - len(now)
    return left


def forget_everything(firm: Firm) -> None:
    """Have every word of the firm worked out anew, from nothing."""
    for model in (SearchRow, SearchWord, SearchText, SearchSpelling):
        model.objects.for_firm(firm)._raw_delete(model.objects.db)
    SearchMark.objects.filter(firm_id=firm.pk).delete()
    for column, rows in (("client_id", Client.objects), ("installation_id", Installation.objects)):
        keys = rows.for_firm(firm).order_by("pk").values_list("pk", flat=True)
        SearchMark.objects.bulk_create(
            (SearchMark(firm_id=firm.pk, **{column: pk}) for pk in keys), batch_size=_ROWS_AT_ONCE
        )


@transaction.atomic
def _work_out_clients(firm: Firm, clients: Sequence[int]) -> None:
    rows = list(_held(Client.objects).filter(pk__in=clients))
    SearchMark.objects.filter(client_id__in=clients).delete()
    SearchRow.objects.filter(firm=firm, kind=Kind.CLIENT, target__in=clients).delete()
    _write(firm, [Said(Kind.CLIENT, row.pk, _words_of_client(row)) for row in rows])


@transaction.atomic
def _work_out_places(firm: Firm, places: Sequence[int]) -> None:
    # The rows are held so that two who search at once do not both write them; the marks go before the record
    # is read, so that a change that comes meanwhile is marked anew.
    installations = list(_held(Installation.objects).filter(pk__in=places).select_related("client"))
    SearchMark.objects.filter(installation_id__in=places).delete()
    SearchRow.objects.filter(firm=firm, installation_id__in=places).delete()
    _write(firm, list(_said_in(installations)))


def _held(rows):
    return rows.select_for_update(of=("self",), no_key=True).order_by("pk")


def _words_of_client(client: Client) -> tuple[str, ...]:
    return words_of(client.name, client.address, client.email, client.phone, client.phone.replace(" ", ""))


def _said_in(installations: Iterable[Installation]) -> Iterator[Said]:
    """Everything in some places that can be found."""
    where = {}  # by installation: what tells all in it from their like elsewhere
    for one in installations:
        where[one.pk] = (one.name, one.address, one.postcode, one.client.name)
        yield Said(Kind.INSTALLATION, one.pk, words_of(*where[one.pk]), one.pk)
    boards = Board.objects.filter(installation__in=where)
    for board in boards.order_by("pk"):
        words = words_of(board.designation, board.location, *where[board.installation_id])
        yield Said(Kind.BOARD, board.pk, words, board.installation_id, board.pk)
    circuits = Circuit.objects.filter(board__installation__in=where).order_by("pk")
    for pk, place, board, way, phase, description in circuits.values_list(
        "pk", "board__installation", "board", "way", "phase", "description"
    ):
        yield Said(Kind.CIRCUIT, pk, words_of(f"/{way}", phase, description), place, board)
    loads = ParallelLoad.objects.filter(circuit__board__installation__in=where)
    for load in loads.select_related("circuit__board").order_by("pk"):
        board = load.circuit.board
        words = words_of(load.describe(), load.place, load.reason)
        yield Said(Kind.LOAD, load.pk, words, board.installation_id, board.pk)
    records = IssuedRecord.objects.filter(inspection__installation__in=where).order_by("pk")
    for pk, place, number in records.values_list("pk", "inspection__installation", "number"):
        words = words_of(f"report record no {number}", *where[place])
        yield Said(Kind.RECORD, pk, words, place)


def _write(firm: Firm, said: Sequence[Said]) -> None:
    texts = _texts(firm, {(one.kind, one.digest): one.words for one in said})
    SearchRow.objects.bulk_create(
        (
            SearchRow(
                firm_id=firm.pk,
                kind=one.kind,
                target=one.target,
                text_id=texts[one.kind, one.digest],
                installation_id=one.installation,
                board_id=one.board,
            )
            for one in said
        ),
        batch_size=_ROWS_AT_ONCE,
    )


def _texts(firm: Firm, wanted: dict[tuple[Kind, str], tuple[str, ...]]) -> dict[tuple[str, str], int]:
    """The keys of texts, those that were not there made first."""
    there = _texts_there(firm, wanted)
    missing = {key: words for key, words in wanted.items() if key not in there}
    if not missing:
        return there
    _add(SearchText(firm_id=firm.pk, kind=kind, digest=digest) for kind, digest in missing)
    there = _texts_there(firm, wanted)
    _add(
        SearchWord(firm_id=firm.pk, kind=key[0], word=word, text_id=there[key])
        for key, words in missing.items()
        for word in words
    )
    _add_spellings(firm, {word for words in missing.values() for word in words})
    return there


def _texts_there(firm: Firm, wanted) -> dict[tuple[str, str], int]:
    found = SearchText.objects.for_firm(firm).filter(
        kind__in={kind for kind, _ in wanted}, digest__in={digest for _, digest in wanted}
    )
    return {(kind, digest): pk for kind, digest, pk in found.values_list("kind", "digest", "pk")}


def _add_spellings(firm: Firm, words: set[str]) -> None:
    known = SearchSpelling.objects.for_firm(firm).filter(spelling__in=words, how=Match.EXACT)
    new = words.difference(known.values_list("word", flat=True))
    _add(
        SearchSpelling(firm_id=firm.pk, spelling=spelling, how=how, word=word)
        for word in sorted(new)
        for spelling, how in spellings(word)
    )


def _add(rows) -> None:
    """Rows that another may be adding at the same time."""
    rows = list(rows)
    if rows:
        type(rows[0]).objects.bulk_create(rows, batch_size=_ROWS_AT_ONCE, ignore_conflicts=True)
