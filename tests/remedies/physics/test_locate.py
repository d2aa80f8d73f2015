"""Where to look first: the plan finds it, and no other order is expected to be quicker."""

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remedies.physics.locate import (
    USUAL_MINUTES,
    USUAL_WEIGHT,
    Outcome,
    Place,
    Point,
    Step,
    StepError,
    minutes_in_order,
    plan,
)

minutes = st.sampled_from([2.0, 5.0, 10.0, 20.0, 45.0])
weights = st.sampled_from([0.0, 0.3, 1.0, 2.0, 5.0])
section_weights = st.sampled_from([0.0, 0.05, 1.0])


def chains(most: int) -> st.SearchStrategy[list[Point]]:
    made = st.lists(st.tuples(minutes, weights), min_size=1, max_size=most)
    return made.map(lambda rows: [Point(f"P{i}", cost, weight) for i, (cost, weight) in enumerate(rows, 1)])


# The load is at an atom of the chain: 0, 2, 4 … are the sections of wiring, 1, 3, 5 … the points.


def _walk(points: list[Point], atom: int, section_weight: float) -> tuple[float, tuple[str, ...], int]:
    """Follow the plan with the load at an atom: minutes spent, what was found, steps."""
    done: list[Step] = []
    spent = 0.0
    while (now := plan(points, done, section_weight)).next_point is not None:
        at = 2 * now.next_point + 1
        spent += points[now.next_point].minutes
        outcome = Outcome.HERE if at == atom else Outcome.BEYOND if atom > at else Outcome.TOWARDS_BOARD
        done.append(Step(now.next_point, outcome))
    return spent, now.found, len(done)


def _weights(points: list[Point], section_weight: float) -> list[float]:
    atoms = [section_weight]
    for point in points:
        atoms += [point.weight, section_weight]
    return atoms


@given(chains(9), section_weights)
def test_the_plan_always_finds_it(points: list[Point], section_weight: float) -> None:
    for atom in range(2 * len(points) + 1):
        _, found, steps = _walk(points, atom, section_weight)
        assert len(found) == 1
        assert steps <= len(points)
        if atom % 2:
            assert found == (points[atom // 2].name,)
        else:
            assert found[0].startswith("wiring")


@given(chains(9), section_weights)
def test_the_expected_minutes_are_those_of_following_the_plan(
    points: list[Point], section_weight: float
) -> None:
    atoms = _weights(points, section_weight)
    walks = [_walk(points, atom, section_weight)[0] for atom in range(len(atoms))]
    now = plan(points, (), section_weight)
    if sum(atoms):
        mean = sum(w * m for w, m in zip(atoms, walks, strict=True)) / sum(atoms)
        assert now.expected_minutes == pytest.approx(mean)
    assert max(walks) == pytest.approx(now.most_minutes)


@given(chains(12), section_weights)
def test_the_plan_is_never_slower_than_opening_point_after_point(
    points: list[Point], section_weight: float
) -> None:
    if not sum(_weights(points, section_weight)):
        return
    one_by_one = minutes_in_order(points, section_weight)
    assert plan(points, (), section_weight).expected_minutes <= one_by_one + 1e-9


def _brute_force(points: list[Point], section_weight: float) -> float:
    """Least expected minutes over every order of looking, parting, or both, whatever is left in question."""
    atoms = _weights(points, section_weight)

    @cache
    def least(left: frozenset[int]) -> float:
        if not any(atom % 2 for atom in left) and len(left) <= 1:
            return 0.0
        weight = sum(atoms[atom] for atom in left)
        best = float("inf")
        for index, point in enumerate(points):
            at = 2 * index + 1
            near = frozenset(atom for atom in left if atom < at)
            far = frozenset(atom for atom in left if atom > at)
            for parts_left in (
                (near, far),  # opened and parted
                (near | far,),  # opened only
                (near | (left & {at}), far),  # parted only
            ):
                if left in parts_left:
                    continue  # told nothing
                best = min(best, point.minutes * weight + sum(least(rest) for rest in parts_left if rest))
        return best

    return least(frozenset(range(len(atoms)))) / sum(atoms)


@given(chains(4), section_weights)
@settings(max_examples=60)
def test_no_other_order_is_expected_to_be_quicker(points: list[Point], section_weight: float) -> None:
    if not sum(_weights(points, section_weight)):
        return
    assert plan(points, (), section_weight).expected_minutes == pytest.approx(
        _brute_force(points, section_weight)
    )


def test_seven_equal_points_are_halved() -> None:
    # Binary search: 1 point at the first look, 2 at the second, 4 at the third: (1 + 2·2 + 4·3) / 7 looks.
    points = [Point(f"P{i}", 10, 1) for i in range(1, 8)]
    now = plan(points, (), 0)
    assert now.next_name == "P4"
    assert (now.if_towards_board, now.if_beyond) == ("P2", "P6")
    assert now.expected_minutes == pytest.approx(10 * 17 / 7)
    assert now.most_minutes == 30
    assert minutes_in_order(points, 0) == pytest.approx(40)  # (1 + … + 7) / 7 = 4 looks


def test_a_point_hard_to_reach_is_left_to_the_end() -> None:
    points = [Point("hall", 5), Point("loft", 90), Point("landing", 5)]
    now = plan(points, (), 0)
    assert now.next_name in ("hall", "landing")


def test_a_likely_point_is_looked_at_first() -> None:
    points = [Point(f"P{i}") for i in range(6)] + [Point("fan switch with indicator", 5, 30)]
    assert plan(points).next_name == "fan switch with indicator"


def test_the_plan_follows_the_outcomes() -> None:
    points = [Point(name) for name in ("a", "b", "c", "d", "e")]
    towards = plan(points, [Step(2, Outcome.TOWARDS_BOARD)])
    assert towards.suspects == ("a", "b")
    beyond = plan(points, [Step(2, Outcome.BEYOND)])
    assert beyond.suspects == ("d", "e")
    assert plan(points, [Step(2, Outcome.BEYOND), Step(3, Outcome.TOWARDS_BOARD)]).found == (
        "wiring between c and d",
    )


def test_two_loads_either_side_are_both_found() -> None:
    points = [Point(name) for name in ("a", "b", "c")]
    both = plan(points, [Step(1, Outcome.BOTH_SIDES)])
    assert both.suspects == ("a", "c")
    done = [Step(1, Outcome.BOTH_SIDES), Step(0, Outcome.HERE), Step(2, Outcome.HERE)]
    assert plan(points, done).found == ("a", "c")


def test_the_ends_of_the_wiring_are_named() -> None:
    points = [Point("a"), Point("b")]
    assert plan(points, [Step(0, Outcome.TOWARDS_BOARD)]).found == ("wiring between the board and a",)
    assert plan(points, [Step(1, Outcome.BEYOND)]).found == ("wiring beyond b",)


def test_a_step_at_a_point_already_ruled_out_is_refused() -> None:
    points = [Point("a"), Point("b"), Point("c")]
    with pytest.raises(StepError, match="Step 2: a was already ruled out"):
        plan(points, [Step(1, Outcome.BEYOND), Step(0, Outcome.HERE)])
    with pytest.raises(StepError, match="point 7"):
        plan(points, [Step(7, Outcome.HERE)])


def test_a_circuit_without_points_is_refused() -> None:
    with pytest.raises(ValueError, match="list the points"):
        plan([])


def test_minutes_below_zero_are_refused() -> None:
    with pytest.raises(ValueError, match="loft"):
        Point("loft", -1)


@pytest.mark.parametrize("place", list(Place))
def test_every_place_has_its_usual_values(place: Place) -> None:
    point = Point.usual("somewhere", place)
    assert (point.minutes, point.weight) == (USUAL_MINUTES[place], USUAL_WEIGHT[place])
    assert point.minutes > 0


def test_the_last_luminaire_is_likelier_than_any_other_luminaire() -> None:
    # Common practice, no source: cures for glowing lamps sit at the end of the run.
    assert USUAL_WEIGHT[Place.LAST_LUMINAIRE] > USUAL_WEIGHT[Place.LUMINAIRE]
