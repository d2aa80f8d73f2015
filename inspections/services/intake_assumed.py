"""What a circuit's own words and readings tell of how it is built, where the file says no more."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from inspections.enums import Arrangement, Serves

_RING_COLUMNS = ("r1", "rn", "r2")
_SPARE = re.compile(r"\W*spare\b", re.IGNORECASE)
_LIGHTING = re.compile(r"\blight(s|ing)?\b|\bluminaires?\b|\bdownlights?\b", re.IGNORECASE)
_RING = re.compile(r"\bring\b", re.IGNORECASE)
_SOCKETS = re.compile(r"\bsockets?\b|socket-outlets?", re.IGNORECASE)


@dataclass(frozen=True)
class Assumption:
    """A detail of the circuit, its value, and both in words for the person to see."""

    detail: str
    value: Any
    words: str


def assumptions(
    description: str, readings: Mapping[str, str], names_another_board: re.Pattern[str]
) -> Iterator[Assumption]:
    """What is taken of a new circuit. names_another_board: finds the designation of one in a description."""
    if _SPARE.match(description):
        yield Assumption("is_spare", True, "spare way")
    if _LIGHTING.search(description):
        yield Assumption("serves_lighting", True, "serves lighting")
    has_ring = any(_is_measured(readings.get(name, "")) for name in _RING_COLUMNS)
    if has_ring or _RING.search(description):
        yield Assumption("arrangement", Arrangement.RING, "ring final circuit")
    if has_ring or _SOCKETS.search(description):
        yield Assumption("serves", Serves.SOCKETS, "serves socket-outlets")
    elif names_another_board.search(description):
        yield Assumption("serves", Serves.DISTRIBUTION, "distribution circuit")


def _is_measured(text: str) -> bool:
    return any(character.isdigit() for character in text)
