"""A signature drawn on the page: the strokes of a pen, as it stands in a record and is drawn on paper."""

import json
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError

WIDTH, HEIGHT = 600, 200  # of the field that is signed in, in its own units
MOST_STROKES, MOST_POINTS, MOST_CHARACTERS = 100, 3000, 50_000

_REFUSED = (
    "The signature could not be read, so nothing was done. Clear it and sign again, or leave it empty: your "
    "name then stands typed."
)


@dataclass(frozen=True, slots=True)
class Signature:
    """strokes: each the points that the pen passed, x and y in turn, from the upper left corner."""

    strokes: tuple[tuple[int, ...], ...]

    def as_content(self) -> dict[str, Any]:
        """As it stands in the record."""
        return {"width": WIDTH, "height": HEIGHT, "strokes": [list(stroke) for stroke in self.strokes]}


def read_signature(text: str) -> Signature | None:
    """The signature as the page sends it, ``[[x, y, x, y, …], …]``; None where nobody signed. Raises
    ValidationError for anything else, and for more than a pen draws.

    >>> read_signature("[[10, 20, 12, 21]]")
    Signature(strokes=((10, 20, 12, 21),))
    >>> read_signature("") is read_signature("[]") is None
    True
    """
    if not text.strip():
        return None
    try:
        strokes = json.loads(text) if len(text) <= MOST_CHARACTERS else None
    except (ValueError, RecursionError):
        strokes = None
    if not isinstance(strokes, list) or len(strokes) > MOST_STROKES or not all(map(_is_stroke, strokes)):
        raise ValidationError(_REFUSED)
    if sum(map(len, strokes)) > 2 * MOST_POINTS:
        raise ValidationError(_REFUSED)
    return Signature(tuple(map(tuple, strokes))) if strokes else None


def _is_stroke(stroke: Any) -> bool:
    return (
        isinstance(stroke, list)
        and len(stroke) >= 2
        and len(stroke) % 2 == 0
        and all(type(one) is int for one in stroke)
        and all(0 <= x <= WIDTH for x in stroke[::2])
        and all(0 <= y <= HEIGHT for y in stroke[1::2])
    )
