"""Which loads an insulation test sees: straight across its leads, round about, or not at all."""

from collections.abc import Sequence
from enum import StrEnum

from remedies.physics.parts import Connection, Part
from remedies.physics.tester import Between


class _Sight(StrEnum):
    """How a load stands to the tester."""

    ACROSS = "across"
    ROUND_ABOUT = "round about"  # only by way of a third conductor
    NOT = "not"


_SIGHT: dict[Between, dict[Connection, _Sight]] = {
    Between.LINE_NEUTRAL: {
        Connection.LINE_NEUTRAL: _Sight.ACROSS,
        Connection.LINE_EARTH: _Sight.ROUND_ABOUT,
        Connection.NEUTRAL_EARTH: _Sight.ROUND_ABOUT,
    },
    Between.LIVES_JOINED_EARTH: {
        Connection.LINE_EARTH: _Sight.ACROSS,
        Connection.NEUTRAL_EARTH: _Sight.ACROSS,
    },
    Between.LINE_EARTH: {
        Connection.LINE_EARTH: _Sight.ACROSS,
        Connection.LINE_NEUTRAL: _Sight.ROUND_ABOUT,
        Connection.NEUTRAL_EARTH: _Sight.ROUND_ABOUT,
    },
    Between.NEUTRAL_EARTH: {
        Connection.NEUTRAL_EARTH: _Sight.ACROSS,
        Connection.LINE_NEUTRAL: _Sight.ROUND_ABOUT,
        Connection.LINE_EARTH: _Sight.ROUND_ABOUT,
    },
    Between.LINE_LINE: {
        Connection.LINE_LINE: _Sight.ACROSS,
        Connection.LINE_NEUTRAL: _Sight.ROUND_ABOUT,
        Connection.LINE_EARTH: _Sight.ROUND_ABOUT,
        Connection.NEUTRAL_EARTH: _Sight.ROUND_ABOUT,
    },
}


def is_across(connection: Connection, between: Between, *, switches_closed: bool = True) -> bool:
    """Whether a load so connected stands straight across the tester."""
    return _sight_of(connection, between, switches_closed) is _Sight.ACROSS


def _sight_of(connection: Connection, between: Between, switches_closed: bool) -> _Sight:
    if connection is Connection.SWITCHED_LINE_NEUTRAL and not switches_closed:
        return _Sight.NOT
    return _SIGHT[between].get(_unswitched(connection), _Sight.NOT)


def _unswitched(connection: Connection) -> Connection:
    switched = connection is Connection.SWITCHED_LINE_NEUTRAL
    return Connection.LINE_NEUTRAL if switched else connection


def sort_by_sight(
    parts: Sequence[Part], between: Between, switches_closed: bool
) -> tuple[list[Part], list[Part], list[Part]]:
    """The parts across the tester, those that stand across it by way of a third conductor, and all that are
    not straight across."""
    across: list[Part] = []
    round_about: list[Part] = []
    not_seen: list[Part] = []
    for part in parts:
        sight = _sight_of(part.connection, between, switches_closed)
        if sight is _Sight.ACROSS:
            across.append(part)
            continue
        not_seen.append(part)
        # A capacitor passes nothing once charged, so it opens no way round.
        if sight is _Sight.ROUND_ABOUT and (part.path or part.varistor):
            round_about.append(part)
    return across, round_about, not_seen


def closes_a_path(round_about: Sequence[Part], between: Between) -> bool:
    """Two loads by way of a third conductor can stand in series across the tester; one alone cannot."""
    if between is Between.LINE_LINE:  # on which lines the loads are, the register cannot tell
        return sum(part.count for part in round_about) > 1
    return len({_unswitched(part.connection) for part in round_about}) > 1
