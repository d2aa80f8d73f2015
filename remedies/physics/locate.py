"""Where to look first for a load that nobody registered.

The circuit is a chain of points in the order of wiring, board first. Getting at a point does two things: its
lid comes off, so one sees whether the load is there; and the wiring can be parted there, so that a test each
way tells on which side of it the low reading lies. The load is at one of the points, or in a section of
wiring between two of them (a buried joint, or poor insulation).

``plan`` gives the order with the least expected minutes. It is exact: an optimal binary search tree by
dynamic programming (D. E. Knuth, *The Art of Computer Programming*, vol. 3, section 6.2.2), with minutes on
the points and a weight for every section between them. For a branched circuit part it at the branch and plan
each leg; a ring opened at the board is a chain.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class Place(StrEnum):
    """What a point is, for the usual weight and minutes."""

    LUMINAIRE = "luminaire"
    LAST_LUMINAIRE = "last luminaire"
    SWITCH = "switch"
    NEON_SWITCH = "switch or connection unit with an indicator"
    SOCKET = "socket-outlet"
    JUNCTION = "junction box"
    EQUIPMENT = "fixed equipment"


# How much likelier than at an ordinary luminaire, and minutes to get at, part, test both ways and put back.
# Common practice, no source.
USUAL_WEIGHT = {
    Place.LUMINAIRE: 1.0,
    Place.LAST_LUMINAIRE: 2.0,  # cures for glowing lamps are mostly fitted at the end of the run
    Place.SWITCH: 0.5,
    Place.NEON_SWITCH: 3.0,
    Place.SOCKET: 0.3,
    Place.JUNCTION: 0.5,
    Place.EQUIPMENT: 2.0,
}
USUAL_MINUTES = {
    Place.LUMINAIRE: 10.0,
    Place.LAST_LUMINAIRE: 10.0,
    Place.SWITCH: 5.0,
    Place.NEON_SWITCH: 5.0,
    Place.SOCKET: 5.0,
    Place.JUNCTION: 20.0,
    Place.EQUIPMENT: 15.0,
}
SECTION_WEIGHT = 0.05  # the wiring between two points, beside 1 for a luminaire; common practice, no source


@dataclass(frozen=True, slots=True)
class Point:
    """A point of the circuit: name, minutes to get at it and test both ways, weight beside other points.

    Raises ValueError when the minutes or the weight are below zero.
    """

    name: str
    minutes: float = USUAL_MINUTES[Place.LUMINAIRE]
    weight: float = USUAL_WEIGHT[Place.LUMINAIRE]

    def __post_init__(self) -> None:
        if self.minutes < 0 or self.weight < 0:
            raise ValueError(f"{self.name}: minutes and weight are zero or more.")

    @classmethod
    def usual(cls, name: str, place: Place) -> "Point":
        """A point with the usual minutes and weight of its place."""
        return cls(name, USUAL_MINUTES[place], USUAL_WEIGHT[place])


class Outcome(StrEnum):
    """What was found at a point."""

    HERE = "here"
    TOWARDS_BOARD = "towards the board"
    BEYOND = "beyond"
    BOTH_SIDES = "both sides"


@dataclass(frozen=True, slots=True)
class Step:
    """A point got at (its index in the chain) and what was found."""

    point: int
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Plan:
    """What to do next, after the steps done.

    next_point: index of the point to get at; None when there is nothing left to look for. expected_minutes
    and most_minutes: from here to the end. suspects: names of the points still in question. found: places
    found, each a point or “wiring between A and B”. if_towards_board, if_beyond: the point to get at after
    that outcome, or where the load then is.
    """

    next_point: int | None
    next_name: str
    expected_minutes: float
    most_minutes: float
    suspects: tuple[str, ...]
    found: tuple[str, ...]
    if_towards_board: str
    if_beyond: str


class StepError(ValueError):
    """A step that contradicts those before it. The message says which."""


_Stretch = tuple[int, int]  # first point and one past the last; empty: the section between two points


def plan(points: Sequence[Point], done: Sequence[Step] = (), section_weight: float = SECTION_WEIGHT) -> Plan:
    """The next point to get at, for the least expected minutes until the load is found.

    done: the steps so far, in order. section_weight: weight of each section of wiring between points.
    Raises ValueError without points, StepError when a step is at a point that is no longer in question.

    >>> chain = [Point("a"), Point("b"), Point("c")]
    >>> plan(chain).next_name
    'b'
    >>> plan(chain, [Step(1, Outcome.BEYOND), Step(2, Outcome.HERE)]).found
    ('c',)
    """
    if not points:
        raise ValueError(
            "There is no point to look at: list the points of the circuit in the order of wiring."
        )
    stretches, found = _after(points, done)
    open_stretches = [stretch for stretch in stretches if stretch[0] < stretch[1]]
    found += [_section_name(points, first) for first, end in stretches if first == end]
    if not open_stretches:
        return Plan(None, "", 0.0, 0.0, (), tuple(found), "", "")
    table = _Table(points, section_weight)
    first, end = open_stretches[0]
    root = table.root(first, end)
    return Plan(
        next_point=root,
        next_name=points[root].name,
        expected_minutes=sum(table.expected_minutes(*stretch) for stretch in open_stretches),
        most_minutes=sum(table.most_minutes(*stretch) for stretch in open_stretches),
        suspects=tuple(points[i].name for stretch in open_stretches for i in range(*stretch)),
        found=tuple(found),
        if_towards_board=_then(points, table, (first, root)),
        if_beyond=_then(points, table, (root + 1, end)),
    )


def minutes_in_order(points: Sequence[Point], section_weight: float = SECTION_WEIGHT) -> float:
    """Expected minutes when the points are opened one by one from the board on, without parting."""
    sections = section_weight * (len(points) + 1)
    spent = expected = 0.0
    for point in points:
        spent += point.minutes
        expected += point.weight * spent
    total = sum(point.weight for point in points) + sections
    return (expected + sections * spent) / total if total else spent


def _after(points: Sequence[Point], done: Sequence[Step]) -> tuple[list[_Stretch], list[str]]:
    """The stretches still in question, nearest the board first, and what was found."""
    stretches: list[_Stretch] = [(0, len(points))]
    found: list[str] = []
    for number, step in enumerate(done, start=1):
        holder = next((s for s in stretches if s[0] <= step.point < s[1]), None)
        if holder is None:
            name = points[step.point].name if 0 <= step.point < len(points) else f"point {step.point}"
            raise StepError(f"Step {number}: {name} was already ruled out by the steps before it.")
        near, far = (holder[0], step.point), (step.point + 1, holder[1])
        at = stretches.index(holder)
        match step.outcome:
            case Outcome.HERE:
                stretches[at : at + 1] = []
                found.append(points[step.point].name)
            case Outcome.TOWARDS_BOARD:
                stretches[at] = near
            case Outcome.BEYOND:
                stretches[at] = far
            case Outcome.BOTH_SIDES:
                stretches[at : at + 1] = [near, far]
    return stretches, found


def _section_name(points: Sequence[Point], gap: int) -> str:
    before = points[gap - 1].name if gap else "the board"
    return (
        f"wiring between {before} and {points[gap].name}" if gap < len(points) else f"wiring beyond {before}"
    )


def _then(points: Sequence[Point], table: "_Table", stretch: _Stretch) -> str:
    if stretch[0] == stretch[1]:
        return _section_name(points, stretch[0])
    return points[table.root(*stretch)].name


class _Table:
    """Least expected minutes for every stretch of the chain, shortest stretches first."""

    def __init__(self, points: Sequence[Point], section_weight: float) -> None:
        self._minutes = [point.minutes for point in points]
        n = len(points)
        # Without any weight at all every point counts alike.
        weights = [point.weight for point in points]
        if not any(weights) and not section_weight:
            weights = [1.0] * n
        sums = [0.0]
        for weight in weights:
            sums.append(sums[-1] + weight)
        self._cost = [[0.0] * (n + 1) for _ in range(n + 1)]
        self._root = [[0] * (n + 1) for _ in range(n + 1)]
        self._weight = [[0.0] * (n + 1) for _ in range(n + 1)]
        for first in range(n, -1, -1):
            self._weight[first][first] = section_weight
            for end in range(first + 1, n + 1):
                weight = sums[end] - sums[first] + section_weight * (end - first + 1)
                self._weight[first][end] = weight
                cost = self._cost
                self._cost[first][end], self._root[first][end] = min(
                    (self._minutes[k] * weight + cost[first][k] + cost[k + 1][end], k)
                    for k in range(first, end)
                )

    def root(self, first: int, end: int) -> int:
        return self._root[first][end]

    def expected_minutes(self, first: int, end: int) -> float:
        weight = self._weight[first][end]
        return self._cost[first][end] / weight if weight else self.most_minutes(first, end)

    def most_minutes(self, first: int, end: int) -> float:
        if first == end:
            return 0.0
        root = self._root[first][end]
        return self._minutes[root] + max(self.most_minutes(first, root), self.most_minutes(root + 1, end))
