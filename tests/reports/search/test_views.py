"""The page of what was found."""

import pytest
from django.urls import reverse

from reports.search.work_out import bring_up_to_date
from tests.factories import CircuitFactory, InstallationFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def find(client, member, load):
    client.force_login(member)
    return lambda words="", **more: client.get(reverse("find"), {"q": words, **more}).content.decode()


def test_shows_each_kind_with_the_way_to_it_and_where_it_lies(find, load, strangers_load):
    page = find("larkfield")
    board = load.circuit.board
    assert [word for word in ("Installations", "Boards", "Circuits") if f"<h2>{word}</h2>" in page] == [
        "Installations",
        "Boards",
    ]
    assert f'href="{reverse("installation", args=[board.installation_id])}"' in page
    assert "12 Weir Lane, Larkfield, LF3 7QX, Corrin Quarry Ltd" in page
    stranger = strangers_load.circuit.board
    assert reverse("installation", args=[stranger.installation_id]) not in page
    assert reverse("board", args=[stranger.pk]) not in page


def test_a_circuit_and_a_load_are_named_as_elsewhere(find, load):
    assert "DB1/3 Café lights, ground floor" in find("cafe larkfield")
    assert f'href="{reverse("load", args=[load.pk])}"' in find("neon rose")


def test_a_word_spelt_nearly_so_is_told_from_one_spelt_so(find):
    assert "The nearest" in find("larkfeild")
    assert "The nearest" not in find("larkfield")


def test_more_of_one_kind_on_a_page_of_its_own(find, load):
    for number in range(9):
        CircuitFactory(board=load.circuit.board, way=str(number + 10), description=f"Pump {number}")
    page = find("pump")
    more = f'href="{reverse("find")}?q=pump&amp;kind=circuit"'
    assert more in page
    assert page.count("<li><a") == find("pump", kind="load").count("<li><a") + 6
    whole = find("pump", kind="circuit")
    assert more not in whole
    assert all(f"Pump {number}" in whole for number in range(9))


def test_nothing_found_says_what_to_do_and_shows_what_was_typed_as_text(find):
    page = find("zz<b>")
    assert "zz&lt;b&gt;" in page
    assert "Every word must match" in page


def test_nothing_typed_says_what_can_be(find):
    assert "Type some words" in find("  ")


@pytest.mark.parametrize("words", ["'", "%", "_", "\\", "🔌", "a" * 5000, "1 " * 500, "“”"])
def test_whatever_is_typed_is_answered(find, words):
    assert "<h1>Find</h1>" in find(words)


def test_while_typing_only_what_was_found_is_sent(client, member, load):
    client.force_login(member)
    part = client.get(reverse("find"), {"q": "mill"}, headers={"HX-Request": "true"}).content.decode()
    assert "Larkfield Mill House" in part
    assert "<html" not in part


def test_says_how_many_places_are_still_to_be_read(find, member, monkeypatch):
    bring_up_to_date(member.firm)
    monkeypatch.setattr("reports.search.views.bring_up_to_date", lambda firm: 7)
    InstallationFactory(client__firm=member.firm)
    assert "7 installations or clients changed and are not read yet" in find("mill")
