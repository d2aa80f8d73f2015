"""The search for a load, step by step, as pages."""

import pytest
from django.urls import reverse

from tests.factories import CircuitFactory

POINTS = "Light 1; 10\nLight 2; 10\nLight 3; 5\nLight 4; 10"


@pytest.fixture
def address(place):
    return reverse("where_to_look", args=[place.circuit.pk])


def post(browse, address, **typed):
    return browse.post(address, typed, follow=True)


def test_the_points_begin_from_the_record_of_the_circuit(browse, place):
    lights = CircuitFactory(board=place.board, way="9", description="Lights", points=3)

    page = browse.get(reverse("where_to_look", args=[lights.pk]))

    assert "Luminaire 3; 10" in page.text
    assert "List the points of the circuit first" in page.text


def test_the_search_goes_on_to_the_load_and_leads_to_its_entry(browse, address):
    page = post(browse, address, points=POINTS)
    assert "First: Light 3" in page.text
    assert "common practice, no source" in page.text

    page = post(browse, address, point="Light 3", outcome="beyond")
    assert "Next: Light 4" in page.text
    assert "Light 3: low beyond it" in page.text

    page = post(browse, address, point="Light 4", outcome="here")
    ((found, record, is_wiring),) = page.context["found"]
    assert (found, is_wiring) == ("Light 4", False)
    form = browse.get(record).context["form"]
    assert (form["known"].value(), form["place"].value()) == ("found", "Light 4")


def test_between_two_points_it_is_the_wiring_that_is_looked_at(browse, address):
    post(browse, address, points=POINTS)
    post(browse, address, point="Light 3", outcome="beyond")

    page = post(browse, address, point="Light 4", outcome="towards the board")

    assert "Wiring between Light 3 and Light 4" in page.text
    assert "look at the run before you record a load" in page.text


def test_what_was_entered_is_there_again_later(browse, address):
    post(browse, address, points=POINTS)
    post(browse, address, point="Light 3", outcome="beyond")

    assert "Next: Light 4" in browse.get(address).text


def test_steps_are_taken_back_and_begun_anew_without_losing_the_points(browse, address):
    post(browse, address, points=POINTS)
    post(browse, address, point="Light 3", outcome="beyond")
    post(browse, address, point="Light 4", outcome="towards the board")

    assert "Next: Light 4" in post(browse, address, back="1").text
    assert "First: Light 3" in post(browse, address, anew="1").text


def test_points_may_change_while_the_steps_stand(browse, address):
    post(browse, address, points=POINTS)
    post(browse, address, point="Light 3", outcome="beyond")

    page = post(browse, address, points=f"{POINTS}\nLight 5; 10")

    assert page.context["search"].done == (("Light 3", "beyond"),)
    assert page.context["search"].plan.suspects == ("Light 4", "Light 5")


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"points": "Light 3; soon"}, "“soon” is not minutes"),
        ({"points": ""}, "List at least one point"),
        ({"points": "Light 1"}, "“Light 3” is ticked as done but is not among the points"),
        ({"point": "Light 1", "outcome": "here"}, "Light 1 was already ruled out"),
        ({"point": "Light 4", "outcome": "perhaps"}, "Say what was found there."),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_lost(browse, address, typed, message):
    post(browse, address, points=POINTS)
    post(browse, address, point="Light 3", outcome="beyond")

    page = post(browse, address, **typed)

    assert message in page.text
    assert typed.get("points", "Light 1") in page.text
    assert "Next: Light 4" in browse.get(address).text


def test_each_circuit_has_its_own_search(browse, place, address):
    other = CircuitFactory(board=place.board, way="9")
    post(browse, address, points=POINTS)
    post(browse, reverse("where_to_look", args=[other.pk]), points="Pump; 3")

    assert "First: Light 3" in browse.get(address).text
