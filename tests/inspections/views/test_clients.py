"""Clients."""

import pytest
from django.urls import reverse

from inspections.models import Client
from tests.factories import ClientFactory, InstallationFactory


def test_client_added_belongs_to_the_members_firm_and_its_history_says_who(place, inside):
    response = inside.post(reverse("client_add"), {"name": "A. Corrin", "phone": "01632 960122"})

    client = Client.objects.get(name="A. Corrin")
    assert response.url == reverse("client", args=[client.pk])
    assert client.firm == place.member.firm
    assert client.history.get().history_user == place.member


def test_client_without_a_name_keeps_what_was_typed_and_says_what_is_missing(place, inside, errors_of):
    response = inside.post(reverse("client_add"), {"name": "", "address": "3 Quarry Row"})

    assert errors_of(response) == {"name": ["Say who orders the work."]}
    page = response.content.decode()
    assert "3 Quarry Row" in page
    assert '<a href="#id_name">' in page


def test_second_client_of_one_name_is_refused(place, inside, errors_of):
    response = inside.post(reverse("client_add"), {"name": "Larkfield Estate"})

    assert list(errors_of(response)) == ["__all__"]
    assert Client.objects.count() == 1


def test_two_firms_may_have_clients_of_one_name(place, inside):
    ClientFactory(name="A. Corrin")

    assert inside.post(reverse("client_add"), {"name": "A. Corrin"}).status_code == 302


def test_change_is_saved(place, inside):
    address = reverse("client_change", args=[place.client.pk])

    inside.post(address, {"name": "Larkfield Trust"})

    place.client.refresh_from_db()
    assert place.client.name == "Larkfield Trust"


def test_search_finds_clients_that_hold_every_word(place, inside):
    ClientFactory(firm=place.member.firm, name="A. Corrin", address="3 Quarry Row")
    ClientFactory(firm=place.member.firm, name="B. Corrin", address="4 Mill Lane")

    response = inside.get(reverse("clients"), {"q": "corrin quarry"})

    assert [client.name for client in response.context["page"]] == ["A. Corrin"]


def test_search_without_a_match_says_so(place, inside):
    page = inside.get(reverse("clients"), {"q": "zz<"}).content.decode()

    assert "No client has “zz&lt;”" in page


def test_long_list_is_paged_and_a_page_that_is_not_there_gives_the_last(place, inside):
    ClientFactory.create_batch(50, firm=place.member.firm)

    page = inside.get(reverse("clients"), {"page": "99"}).context["page"]

    assert (page.number, len(page.object_list)) == (2, 1)


@pytest.mark.parametrize("rows", [1, 3])
def test_number_of_queries_does_not_grow(place, inside, rows, django_assert_num_queries):
    for _ in range(rows - 1):
        InstallationFactory(client=ClientFactory(firm=place.member.firm))
    InstallationFactory.create_batch(rows, client=place.client)

    with django_assert_num_queries(5):
        inside.get(reverse("clients"))
    with django_assert_num_queries(5):
        inside.get(reverse("client", args=[place.client.pk]))
