"""What a search finds, held to a search by brute force: every row of the firm read, every word compared."""

import random

import pytest

from inspections.models import Board, Circuit, Client, Installation
from remedies.models import ParallelLoad
from reports.models import IssuedRecord
from reports.search.find import search
from reports.search.tables import Kind, SearchMark, SearchRow, SearchText
from reports.search.words import Match, with_postcode_joined, words_of
from reports.search.work_out import bring_up_to_date, forget_everything
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    ClientFactory,
    InstallationFactory,
    MemberFactory,
    ParallelLoadFactory,
)
from tests.reports.ready import issued, ready_visit

pytestmark = pytest.mark.django_db

NAMES = ("Mill House", "Mill Lane", "Miller Café", "Ferry Road", "Ferri Road", "Lane End", "Kitchen Hall")
TYPED = (
    "mill", "miler cafe", "FERRY", "ferry raod", "kitchen", "kichen lights", "lights", "light", "db1/2",
    "db1 lights mill", "house 12", "lane kitchen", "lf3 7qx", "lf37qx mill", "stairs", "neon", "neon lane",
    "neon kitchen", "220", "sockets ferry 2", "rose db2", "end", "hall kitchen lights", "zebra", "1",
    "report 1", "client 1", "mill mill", "sock", "socketts", "lights house db1",
)  # fmt: skip


def found_keys(firm, typed, most=1000):
    bring_up_to_date(firm, limit=None)
    return {one.kind: {row.pk for row in one.rows} for one in search(firm, typed, most=most)}


# ---- the same by brute force ----


def fits(typed, word):
    """How well, or None: written from the definition, letter by letter."""
    if typed == word:
        return Match.EXACT
    number = word.lstrip("/").replace(".", "").isdigit()
    if not number and len(typed) >= 3 and word.startswith(typed):
        return Match.BEGINS
    long = len(typed) >= 5 and len(word) >= 5
    if long and not number and not typed.lstrip("/").replace(".", "").isdigit() and is_one_slip(typed, word):
        return Match.SLIP
    return None


def is_one_slip(one, two):
    without = {one, *(one[:n] + one[n + 1 :] for n in range(len(one)))}
    return any(other in without for other in (two, *(two[:n] + two[n + 1 :] for n in range(len(two)))))


def best(typed, words):
    return min((match for word in words if (match := fits(typed, word)) is not None), default=None)


def rows_by_hand(firm):
    """Kind, key, own words, and the words of where it lies."""
    for row in Client.objects.filter(firm=firm):
        yield Kind.CLIENT, row.pk, words_of(row.name, row.address, row.email, row.phone), ()
    for row in Installation.objects.filter(client__firm=firm):
        yield Kind.INSTALLATION, row.pk, of_place(row), ()
    for row in Board.objects.filter(installation__client__firm=firm):
        yield Kind.BOARD, row.pk, of_board(row), ()
    for row in Circuit.objects.filter(board__installation__client__firm=firm):
        own = words_of(f"/{row.way}", row.phase, row.description)
        yield Kind.CIRCUIT, row.pk, own, of_board(row.board)
    for row in ParallelLoad.objects.filter(circuit__board__installation__client__firm=firm):
        own = words_of(row.describe(), row.place, row.reason)
        yield Kind.LOAD, row.pk, own, of_board(row.circuit.board)
    for row in IssuedRecord.objects.filter(firm=firm):
        own = (*words_of(f"report record no {row.number}"), *of_place(row.inspection.installation))
        yield Kind.RECORD, row.pk, own, ()


def of_place(row):
    return words_of(row.name, row.address, row.postcode, row.client.name)


def of_board(row):
    return (*words_of(row.designation, row.location), *of_place(row.installation))


def by_hand(firm, typed):
    """By kind and key, how well it fits."""
    rows = list(rows_by_hand(firm))
    every = {word for _, _, own, where in rows for word in (*own, *where)}
    words = words_of(with_postcode_joined(typed))
    if not all(best(word, every) is not None for word in words):
        words = words_of(typed)
    told = {}
    for kind, key, own, where in rows:
        matches = [best(word, (*own, *where)) for word in words]
        # Below a board one word fits the row itself, as well as the whole is said to fit.
        named = min((m for word in words if (m := best(word, own)) is not None), default=None)
        if words and None not in matches and named is not None:
            told[kind, key] = max(*matches, named)
    return told


def random_firm(seed):
    choose = random.Random(seed)
    firm = MemberFactory().firm
    for number in range(2):
        client = ClientFactory(firm=firm, name=f"Client {number}", phone="01632 960123")
        for at in range(2):
            place = InstallationFactory(
                client=client,
                name=f"{choose.randrange(1, 14)} {choose.choice(NAMES)} {at}",
                address=choose.choice(["", "Larkfield LF3 7QX"]),
                postcode=choose.choice(["", "LF3 7QX", "LF12 1AB"]),
            )
            for board_number in (1, 2):
                board = BoardFactory(
                    installation=place,
                    designation=f"DB{board_number}",
                    location=choose.choice(["Under the stairs", "Kitchen"]),
                )
                for way in "12":
                    circuit = CircuitFactory(
                        board=board,
                        way=way,
                        description=choose.choice(["Lights, hall", "Sockets, kitchen", "Mill lights"]),
                    )
                    if choose.random() < 0.4:
                        ParallelLoadFactory(
                            circuit=circuit, place=choose.choice(["Ceiling rose", "Lane side"])
                        )
    return firm


@pytest.mark.parametrize("seed", [1, 2])
def test_finds_what_reading_every_row_finds_and_as_well(seed):
    firm, other = random_firm(seed), random_firm(seed + 10)
    bring_up_to_date(firm, limit=None)
    bring_up_to_date(other, limit=None)

    found_any = 0
    for typed in TYPED:
        wanted = by_hand(firm, typed)
        groups = search(firm, typed, most=1000)
        assert {(one.kind, row.pk) for one in groups for row in one.rows} == set(wanted), typed
        for one in groups:
            order = [wanted[one.kind, row.pk] for row in one.rows]
            assert order == sorted(order), typed
            assert one.best == order[0]
        found_any += bool(wanted)
    assert found_any > 15  # the words are such as find something


def test_a_few_of_each_kind_are_the_first_of_all(load, member):
    firm = member.firm
    for number in range(9):
        CircuitFactory(board=load.circuit.board, way=str(number + 10), description="Lights, landing")

    [few] = [one for one in search_now(firm, "lights", most=4) if one.kind == Kind.CIRCUIT]
    [all_of_them] = [one for one in search_now(firm, "lights", most=50) if one.kind == Kind.CIRCUIT]

    assert (len(few.rows), few.is_more) == (4, True)
    assert (len(all_of_them.rows), all_of_them.is_more) == (10, False)
    assert list(few.rows) == list(all_of_them.rows[:4])


def search_now(firm, typed, **how):
    bring_up_to_date(firm, limit=None)
    return search(firm, typed, **how)


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("corrin quarry", Kind.CLIENT),
        ("01632 960123", Kind.CLIENT),
        ("01632960123", Kind.CLIENT),
        ("weir lane", Kind.INSTALLATION),
        ("House Larkfeild", Kind.INSTALLATION),
        ("lf37qx", Kind.INSTALLATION),
        ("stairs mill", Kind.BOARD),
        ("db1/3 mill house", Kind.CIRCUIT),
        ("mill house cafe", Kind.CIRCUIT),
        ("ceiling 220", Kind.LOAD),
    ],
)
def test_each_kind_is_found_by_what_people_type_and_no_stranger_sees_it(
    load, strangers_load, member, typed, kind
):
    board = load.circuit.board
    ours = {
        Kind.CLIENT: board.installation.client,
        Kind.INSTALLATION: board.installation,
        Kind.BOARD: board,
        Kind.CIRCUIT: load.circuit,
        Kind.LOAD: load,
    }
    assert found_keys(member.firm, typed)[kind] == {ours[kind].pk}


def test_an_issued_record_is_found_by_its_number_and_by_its_place(member):
    installation = InstallationFactory(client__firm=member.firm, name="Ropewalk Hall")
    record = issued(ready_visit(installation))
    assert found_keys(member.firm, f"report {record.number}")[Kind.RECORD] == {record.pk}
    assert found_keys(member.firm, "ropewalk report")[Kind.RECORD] == {record.pk}


def test_a_row_that_fits_exactly_comes_before_one_that_begins_so_and_one_with_a_slip(member):
    place = BoardFactory(installation__client__firm=member.firm)
    names = ["Heatre", "Heaters", "Heater"]
    slip, begins, exact = (
        CircuitFactory(board=place, way=str(n), description=name) for n, name in enumerate(names, start=1)
    )
    [found] = search_now(member.firm, "heater")
    assert [row.pk for row in found.rows] == [exact.pk, begins.pk, slip.pk]


def test_rebuilt_from_nothing_it_finds_the_same(load, member):
    before = found_keys(member.firm, "mill house lights")
    forget_everything(member.firm)
    assert not SearchRow.objects.exists()
    assert not SearchText.objects.exists()
    assert found_keys(member.firm, "mill house lights") == before != {}


def test_statements_do_not_grow_with_what_is_found(load, member, django_assert_num_queries):
    bring_up_to_date(member.firm)
    with django_assert_num_queries(11):
        search(member.firm, "larkfield lights")
    for number in range(12):
        CircuitFactory(board=load.circuit.board, way=str(number + 20), description="Lights")
    bring_up_to_date(member.firm)
    with django_assert_num_queries(11):
        search(member.firm, "larkfield lights")


def test_so_many_places_at_once_and_the_rest_is_told(member):
    for _ in range(3):
        InstallationFactory(client__firm=member.firm)
    assert bring_up_to_date(member.firm, limit=2) == 1 + 1  # a place and, of three clients, one
    assert bring_up_to_date(member.firm, limit=2) == 0
    assert not SearchMark.objects.exists()
