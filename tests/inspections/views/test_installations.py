"""Installations."""

from datetime import date

import pytest
from django.urls import reverse

from inspections.models import Installation
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    InspectionFactory,
    InstallationFactory,
    ObservationFactory,
)

TYPED = {
    "name": "Gardener’s Cottage",
    "use": "dwelling_rented",
    "earthing": "TT",
    "phases": "1",
    "nominal_voltage_v": "230",
    "frequency_hz": "50",
    "rule_set": "bs7671_2018_a2_2022",
}


def test_installation_is_added_to_the_client_it_was_asked_for(place, inside):
    address = reverse("installation_add") + f"?client={place.client.pk}"
    assert inside.get(address).context["form"].initial["client"] == place.client.pk

    response = inside.post(address, {**TYPED, "client": place.client.pk})

    added = Installation.objects.get(name="Gardener’s Cottage")
    assert response.url == reverse("installation", args=[added.pk])
    assert (added.client, added.earthing) == (place.client, "TT")


def test_bad_number_is_explained_and_kept(place, inside, errors_of):
    typed = {**TYPED, "client": place.client.pk, "nominal_voltage_v": "230 V"}

    response = inside.post(reverse("installation_add"), typed)

    assert errors_of(response) == {
        "nominal_voltage_v": ["This is not a whole number. Type digits only, such as 12"]
    }
    assert 'value="230 V"' in response.content.decode()
    assert Installation.objects.count() == 1


def test_edition_that_does_not_exist_is_refused(place, inside, errors_of):
    response = inside.post(
        reverse("installation_add"), {**TYPED, "client": place.client.pk, "rule_set": "bs0000"}
    )

    assert list(errors_of(response)) == ["rule_set"]


def test_change_is_saved(place, inside):
    address = reverse("installation_change", args=[place.installation.pk])

    inside.post(address, {**TYPED, "client": place.client.pk, "next_due_on": "2031-11-03"})

    place.installation.refresh_from_db()
    assert place.installation.next_due_on == date(2031, 11, 3)


@pytest.mark.parametrize("words", ["hall", "lk1", "larkfield est", "2ab HALL"])
def test_search_looks_in_name_address_postcode_and_client(place, inside, words):
    InstallationFactory(client__firm=place.member.firm, name="Mill")

    response = inside.get(reverse("installations"), {"q": words})

    assert [one.name for one in response.context["page"]] == ["Larkfield Hall"]


def test_page_counts_circuits_in_use_alone(place, inside):
    CircuitFactory(board=place.board, way="9", retired_on=date(2025, 1, 1))

    [board] = inside.get(reverse("installation", args=[place.installation.pk])).context["boards"]

    assert board.circuit_count == 1


def test_observation_put_right_is_no_longer_open(place, inside):
    ObservationFactory(inspection=place.inspection, put_right_on=date(2026, 11, 9), put_right_by="Rowan Pell")

    context = inside.get(reverse("installation", args=[place.installation.pk])).context

    assert list(context["observations"]) == [place.observation]


@pytest.mark.parametrize("rows", [1, 3])
def test_number_of_queries_does_not_grow(place, inside, rows, django_assert_num_queries):
    for _ in range(rows - 1):
        InstallationFactory(client__firm=place.member.firm)
        board = BoardFactory(installation=place.installation, fed_from=place.board)
        InspectionFactory(installation=place.installation)
        ObservationFactory(inspection=place.inspection, circuit=CircuitFactory(board=board))

    with django_assert_num_queries(6):
        inside.get(reverse("installations"))
    with django_assert_num_queries(14):
        inside.get(reverse("installation", args=[place.installation.pk]))
