"""Distribution boards."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inspections.models import Board, Circuit
from tests.factories import BoardFactory, CircuitFactory, ParallelLoadFactory


def test_board_added_belongs_to_the_installation(place, inside):
    address = reverse("board_add", args=[place.installation.pk])

    response = inside.post(
        address, {"designation": "DB2", "phases": "1", "fed_from": place.board.pk, "fed_from_way": "9"}
    )

    added = Board.objects.get(designation="DB2")
    assert response.url == reverse("board", args=[added.pk])
    assert (added.installation, added.fed_from) == (place.installation, place.board)


def test_second_board_of_one_designation_is_refused_and_what_was_typed_kept(place, inside, errors_of):
    address = reverse("board_add", args=[place.installation.pk])

    response = inside.post(address, {"designation": "DB1", "phases": "1", "location": "Stage left"})

    assert list(errors_of(response)) == ["__all__"]
    assert 'value="Stage left"' in response.content.decode()


def test_board_cannot_feed_itself_by_way_of_another(place, inside, errors_of):
    below = BoardFactory(installation=place.installation, designation="DB2", fed_from=place.board)

    response = inside.post(
        reverse("board_change", args=[place.board.pk]),
        {"designation": "DB1", "phases": "1", "fed_from": below.pk},
    )

    assert list(errors_of(response)) == ["fed_from"]
    place.board.refresh_from_db()
    assert place.board.fed_from is None


def test_board_of_another_installation_is_not_offered(place, inside):
    elsewhere = BoardFactory(installation__client=place.client)

    form = inside.get(reverse("board_add", args=[place.installation.pk])).context["form"]

    assert elsewhere not in form.fields["fed_from"].queryset
    assert place.board in form.fields["fed_from"].queryset


def test_circuits_are_copied_with_their_details(place, inside):
    CircuitFactory(board=place.board, way="4", live_csa_mm2=Decimal("2.5"))
    target = BoardFactory(installation=place.installation, designation="DB2")

    inside.post(reverse("board_copy_circuits", args=[target.pk]), {"source": place.board.pk})

    copies = target.circuits.order_by("sort_key")
    assert [(copy.way, copy.live_csa_mm2) for copy in copies] == [("3", None), ("4", Decimal("2.50"))]


def test_copy_onto_a_way_that_is_taken_copies_nothing_and_names_it(place, inside, errors_of):
    target = BoardFactory(installation=place.installation, designation="DB2")
    CircuitFactory(board=target, way="3")

    response = inside.post(reverse("board_copy_circuits", args=[target.pk]), {"source": place.board.pk})

    assert errors_of(response) == {
        "__all__": ["Nothing was copied: DB2 already has circuits on way 3."],
    }
    assert target.circuits.count() == 1


def test_copy_from_a_board_without_circuits_says_so(place, inside, errors_of):
    empty = BoardFactory(installation=place.installation, designation="DB2")

    response = inside.post(reverse("board_copy_circuits", args=[place.board.pk]), {"source": empty.pk})

    assert errors_of(response) == {"source": ["That board has no circuits to copy."]}


def test_circuits_stand_in_the_order_people_count(place, inside):
    for way in ("10", "2"):
        CircuitFactory(board=place.board, way=way)

    circuits = inside.get(reverse("board", args=[place.board.pk])).context["circuits"]

    assert [circuit.way for circuit in circuits] == ["2", "3", "10"]


def test_page_leads_to_the_readings_of_an_open_visit(place, inside):
    page = inside.get(reverse("board", args=[place.board.pk])).content.decode()

    assert reverse("results_grid", args=[place.inspection.pk, place.board.pk]) in page


@pytest.mark.parametrize("rows", [1, 3])
def test_number_of_queries_does_not_grow(place, inside, rows, django_assert_num_queries):
    for number in range(rows - 1):
        ParallelLoadFactory(circuit=CircuitFactory(board=place.board, way=str(10 + number)))
        BoardFactory(installation=place.installation, fed_from=place.board)
    ParallelLoadFactory(circuit=place.circuit)
    assert Circuit.objects.count() == rows

    with django_assert_num_queries(13):
        inside.get(reverse("board", args=[place.board.pk]))
