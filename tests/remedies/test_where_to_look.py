"""The points of a circuit as they are typed, and the plan that follows what is found."""

import pytest
from django.core.exceptions import ValidationError

from inspections.enums import Serves
from remedies.physics.locate import Outcome, Place
from remedies.where_to_look import MOST_POINTS, read_points, search, usual_points
from tests.factories import CircuitFactory

CHAIN = "Hall switch; 5\nHall light\nLanding light\nBathroom light; 12"


def test_points_are_read_with_what_is_usual_filled_in():
    points = read_points(f"\n{CHAIN}\n\n")

    assert [(one.name, one.place, one.minutes, one.is_usual) for one in points] == [
        ("Hall switch", Place.SWITCH, 5.0, False),
        ("Hall light", Place.LUMINAIRE, 10.0, True),
        ("Landing light", Place.LUMINAIRE, 10.0, True),
        ("Bathroom light", Place.LAST_LUMINAIRE, 12.0, False),
    ]
    assert points[3].weight > points[1].weight > points[0].weight


@pytest.mark.parametrize(
    ("words", "place"),
    [
        ("Fused connection unit with indicator", Place.NEON_SWITCH),
        ("Junction box over the stairs", Place.JUNCTION),
        ("Double socket, kitchen", Place.SOCKET),
        ("Fan in the bathroom", Place.EQUIPMENT),
        ("Light switch", Place.SWITCH),
        ("Pendant", Place.LUMINAIRE),
    ],
)
def test_the_kind_of_place_is_taken_from_its_name(words, place):
    assert read_points(f"{words}\nEnd of the run")[0].place is place


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "List at least one point: the place; minutes to get at it."),
        ("Hall; ten", "Line 1: “ten” is not minutes. Type digits after one semicolon: Hall; 10"),
        ("Hall; 5; 6", "Line 1: “5; 6” is not minutes."),
        ("Hall\n; 5", "Line 2: it names no place."),
        ("Hall; 5\nHall; 6", "Line 2: there is a “Hall” before it."),
        ("\n".join(f"Light {n}" for n in range(MOST_POINTS + 1)), f"There are {MOST_POINTS + 1} points."),
    ],
)
def test_what_cannot_be_read_is_said_by_line(text, message):
    with pytest.raises(ValidationError) as refused:
        read_points(text)

    assert message in " ".join(refused.value.messages)


def test_every_wrong_line_is_said_at_once():
    with pytest.raises(ValidationError) as refused:
        read_points("Hall; x\nLanding\nBath; y")

    assert len(refused.value.messages) == 2


@pytest.mark.parametrize(
    ("serves", "description", "first"),
    [
        (Serves.FIXED, "Lights, landing", "Luminaire 1; 10"),
        (Serves.SOCKETS, "Ring, kitchen", "Socket-outlet 1; 5"),
        (Serves.FIXED, "Boiler", "Point 1; 15"),
    ],
)
def test_the_record_of_a_circuit_gives_points_to_begin_from(serves, description, first):
    circuit = CircuitFactory.build(points=3, serves=serves, description=description, board=None)

    lines = usual_points(circuit).splitlines()

    assert (len(lines), lines[0]) == (3, first)
    assert len(read_points(usual_points(circuit))) == 3


def test_a_circuit_whose_points_are_not_recorded_gives_none():
    assert usual_points(CircuitFactory.build(points=None, board=None)) == ""


def test_the_plan_follows_what_is_found():
    """By hand, minutes × likelihood with 1, 1, 1, 2 at the points and 0.05 between: beginning at the third
    5 × 5.25 + 10 × 2.15 + 10 × 1.1 + 10 × 2.1 = 79.75, at the second 100.25; over 5.25, 15.2 minutes."""
    points = read_points("Light 1; 10\nLight 2; 10\nLight 3; 5\nLight 4; 10")
    begun = search(points, [])
    assert (begun.plan.next_name, begun.next_minutes) == ("Light 3", 5)
    assert begun.plan.expected_minutes == pytest.approx(79.75 / 5.25)

    beyond = search(points, [("Light 3", Outcome.BEYOND)])
    assert beyond.plan.next_name == "Light 4"
    assert [stands for _, stands in beyond.rows] == ["ruled out", "ruled out", "low beyond it", "in question"]

    found = search(points, [("Light 3", Outcome.BEYOND), ("Light 4", Outcome.HERE)])
    assert found.plan.found == ("Light 4",)
    assert found.plan.next_point is None


def test_a_point_that_was_got_at_cannot_vanish_from_the_list():
    with pytest.raises(ValidationError, match="“Light 9” is ticked as done but is not among the points"):
        search(read_points("Light 1"), [("Light 9", Outcome.BEYOND)])


def test_a_step_at_a_point_already_ruled_out_is_refused():
    points = read_points("Light 1\nLight 2\nLight 3")

    with pytest.raises(ValidationError, match="Light 1 was already ruled out"):
        search(points, [("Light 2", Outcome.BEYOND), ("Light 1", Outcome.HERE)])
