"""Where to look for a load that nobody registered: the points of a circuit as a person types them, with how
likely and how hard to get at each is, and what was found at those already got at.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError

from inspections.enums import Serves
from inspections.models import Circuit
from remedies.physics import locate
from remedies.physics.locate import Outcome, Place, Plan, Point, Step

MOST_POINTS = 100  # the plan takes time as their cube

# What a place is, by the first of these that is named in it.
_WORDS = (
    (Place.NEON_SWITCH, re.compile(r"neon|indicator|connection unit|spur|fcu", re.IGNORECASE)),
    (Place.JUNCTION, re.compile(r"junction|joint|\bbox\b|\bjb\b", re.IGNORECASE)),
    (Place.SWITCH, re.compile(r"switch", re.IGNORECASE)),
    (Place.SOCKET, re.compile(r"socket", re.IGNORECASE)),
    (
        Place.EQUIPMENT,
        re.compile(r"heater|boiler|\bfan\b|pump|motor|cooker|alarm|equipment|sign\b", re.IGNORECASE),
    ),
    (Place.LUMINAIRE, re.compile(r"light|lamp|luminaire|rose|pendant|fitting|batten", re.IGNORECASE)),
)
_USUAL_OF = {Place.LUMINAIRE: "Luminaire", Place.SOCKET: "Socket-outlet"}


@dataclass(frozen=True)
class TypedPoint:
    """A point as typed. is_usual: its minutes were not typed, and are those usual at such a place."""

    name: str
    place: Place
    minutes: float
    is_usual: bool

    @property
    def weight(self) -> float:
        """How much likelier than at an ordinary luminaire. Common practice, no source."""
        return locate.USUAL_WEIGHT[self.place]


def read_points(text: str) -> list[TypedPoint]:
    """The points of a circuit, one a line, “place; minutes”. Raises ValidationError with every line that
    cannot be read, and what to type instead."""
    lines = [(number, line) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]
    points: list[TypedPoint] = []
    wrong = []
    for number, line in lines[:MOST_POINTS]:
        try:
            point = _point(line, is_last=number == lines[-1][0])
        except ValueError as error:
            wrong.append(f"Line {number}: {error}")
            continue
        if point.name in {other.name for other in points}:
            wrong.append(f"Line {number}: there is a “{point.name}” before it. Give each its own name.")
        points.append(point)
    if not lines:
        wrong.append("List at least one point: the place; minutes to get at it.")
    if len(lines) > MOST_POINTS:
        wrong.append(f"There are {len(lines)} points. Split the circuit once, and list up to {MOST_POINTS}.")
    if wrong:
        raise ValidationError(wrong)
    return points


def _point(line: str, *, is_last: bool) -> TypedPoint:
    name, *rest = (part.strip() for part in line.split(";"))
    if not name:
        raise ValueError("it names no place. Type the place; minutes to get at it.")
    place = _place_of(name)
    if place is Place.LUMINAIRE and is_last:
        place = Place.LAST_LUMINAIRE
    if not "".join(rest):
        return TypedPoint(name, place, locate.USUAL_MINUTES[place], is_usual=True)
    if len(rest) > 1 or not re.fullmatch(r"\d{1,4}(\.\d+)?", rest[0]):
        raise ValueError(f"“{'; '.join(rest)}” is not minutes. Type digits after one semicolon: {name}; 10")
    return TypedPoint(name, place, float(rest[0]), is_usual=False)


def _place_of(name: str) -> Place:
    return next((place for place, words in _WORDS if words.search(name)), Place.LUMINAIRE)


def usual_points(circuit: Circuit) -> str:
    """The points of a circuit as far as its record goes, to be named and put in order by who knows them."""
    place = Place.SOCKET if circuit.serves == Serves.SOCKETS else _place_of(circuit.description)
    name = _USUAL_OF.get(place, "Point")
    minutes = locate.USUAL_MINUTES[place]
    return "\n".join(f"{name} {n}; {minutes:g}" for n in range(1, min(circuit.points or 0, MOST_POINTS) + 1))


Done = tuple[str, Outcome]
"""A point got at, by name, and what was found there."""


@dataclass(frozen=True)
class Search:
    """How a search stands: its points, what was done, and what to do next."""

    points: tuple[TypedPoint, ...]
    done: tuple[Done, ...]
    plan: Plan
    minutes_in_order: float

    @property
    def next_minutes(self) -> float:
        return 0.0 if self.plan.next_point is None else self.points[self.plan.next_point].minutes

    @property
    def rows(self) -> list[tuple[TypedPoint, str]]:
        """Every point with how it stands, in words."""
        found = {name: _FOUND[outcome] for name, outcome in self.done}
        suspects = set(self.plan.suspects)
        return [
            (point, found.get(point.name) or ("in question" if point.name in suspects else "ruled out"))
            for point in self.points
        ]


_FOUND = {
    Outcome.HERE: "it is here",
    Outcome.TOWARDS_BOARD: "low towards the board",
    Outcome.BEYOND: "low beyond it",
    Outcome.BOTH_SIDES: "low both ways",
}


def search(points: Sequence[TypedPoint], done: Sequence[Done]) -> Search:
    """What to do next. Raises ValidationError when a point that was got at is no longer among the points, or
    a step contradicts those before it."""
    chain = [Point(point.name, point.minutes, point.weight) for point in points]
    places = {point.name: index for index, point in enumerate(points)}
    gone = [name for name, _ in done if name not in places]
    if gone:
        raise ValidationError(
            f"“{gone[0]}” is ticked as done but is not among the points. Put it back, or start again."
        )
    try:
        plan = locate.plan(chain, [Step(places[name], outcome) for name, outcome in done])
    except locate.StepError as error:
        raise ValidationError(f"{error} Put the points back in their order, or start again.") from error
    return Search(tuple(points), tuple(done), plan, locate.minutes_in_order(chain))
