"""One measured value as written on the sheet, and what it says.

The notation is fixed: a decimal with a point; ``>`` before it where the instrument ran out of range (or an
RCD that did not trip within it); ``<`` where it read below its lowest; ``LIM`` (limitation), ``N/V`` (not
verified), ``N/A`` (not applicable); ``✓`` or ``✗`` where the test is pass or fail. Blank is not entered yet.

The digits are kept exactly as written, because trailing zeros carry the resolution of the instrument.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import total_ordering


class State(StrEnum):
    """What a reading says, before any limit is asked of it."""

    BLANK = "blank"
    MEASURED = "measured"
    LIM = "LIM"
    NOT_VERIFIED = "N/V"
    NOT_APPLICABLE = "N/A"
    PASS = "✓"
    FAIL = "✗"


class Relation(StrEnum):
    """How a measured value stands to the figure written."""

    BELOW = "<"
    EQUAL = "="
    ABOVE = ">"


class ReadingError(ValueError):
    """The text is not in the reading notation. The message says what to type instead."""


_NUMBER = re.compile(r"(?P<relation>[<>]?)\s*(?P<digits>[0-9]+(?:\.[0-9]+)?|\.[0-9]+)")
_NUMBER_WITH_COMMA = re.compile(r"[<>]?\s*\d+,\d+")
_NUMBER_WITH_WORD = re.compile(r"(?P<number>[<>]?\s*(?:\d+(?:\.\d+)?|\.\d+))\s*(?P<word>[^\d\s.,].*)")
_NEGATIVE = re.compile(r"[-−]\s*\.?\d")
_MAX_DIGITS = 12  # longer than any instrument shows, and safe to hold in a decimal column


@total_ordering
@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """A reading: its text in the notation, its state and, when measured, its relation and value.

    The value has no unit of its own; the column it stands in has one.

    >>> Reading.parse("> 200")
    Reading('>200')
    >>> Reading.parse("0.50").value
    Decimal('0.50')
    >>> Reading.parse("lim").state
    <State.LIM: 'LIM'>
    """

    text: str
    state: State
    relation: Relation | None = None
    value: Decimal | None = None

    @classmethod
    def parse(cls, text: str) -> "Reading":
        """Read the notation. Raises ReadingError with advice when it cannot."""
        written = text.strip()
        if not written:
            return BLANK
        if state := _STATES.get(written.upper()):
            return cls(state.value, state)
        if match := _NUMBER.fullmatch(written):
            digits = match["digits"]
            if len(digits) > _MAX_DIGITS:
                raise ReadingError(f"“{written}” has more digits than any instrument shows.")
            relation = Relation(match["relation"] or "=")
            sign = "" if relation is Relation.EQUAL else relation.value
            return cls(f"{sign}{digits}", State.MEASURED, relation, Decimal(digits))
        raise ReadingError(_advice(written))

    @classmethod
    def parse_tick(cls, text: str) -> "Reading":
        """Read a pass-or-fail test: the notation, or Y and X, which every keyboard has.

        >>> Reading.parse_tick("y"), Reading.parse_tick("X")
        (Reading('✓'), Reading('✗'))
        """
        reading = _TICKS.get(text.strip().upper()) or cls.parse(text)
        if reading.is_measured:
            raise ReadingError(f"“{reading}” is a number. Type ✓ or ✗ (Y or X will do), LIM, N/V or N/A.")
        return reading

    @classmethod
    def measured(cls, value: Decimal | str, relation: Relation = Relation.EQUAL) -> "Reading":
        """A measured reading from a number, e.g. ``measured("0.35")``."""
        sign = "" if relation is Relation.EQUAL else relation.value
        return cls.parse(f"{sign}{Decimal(value):f}")

    @property
    def is_blank(self) -> bool:
        return self.state is State.BLANK

    @property
    def is_measured(self) -> bool:
        return self.state is State.MEASURED

    @property
    def resolution(self) -> Decimal | None:
        """The last place written, e.g. 0.01 for ``0.50``; None when nothing was measured."""
        if self.value is None:
            return None
        exponent = self.value.as_tuple().exponent
        return Decimal(1).scaleb(int(exponent))

    def at_least(self, limit: Decimal) -> bool | None:
        """Whether the true value is at or above ``limit``; None when the reading cannot say.

        >>> Reading.parse(">200").at_least(Decimal("1"))
        True
        >>> print(Reading.parse(">200").at_least(Decimal("999")))
        None
        """
        if self.value is None:
            return None
        if self.relation is Relation.ABOVE:
            return True if self.value >= limit else None
        if self.relation is Relation.BELOW:
            return False if self.value <= limit else None
        return self.value >= limit

    def at_most(self, limit: Decimal) -> bool | None:
        """Whether the true value is at or below ``limit``; None when the reading cannot say."""
        if self.value is None:
            return None
        if self.relation is Relation.BELOW:
            return True if self.value <= limit else None
        if self.relation is Relation.ABOVE:
            return False if self.value >= limit else None
        return self.value <= limit

    def _key(self) -> tuple[int, Decimal, int, str]:
        # Measured readings first, by value; at one value “<” comes before “=” before “>”. Words follow.
        if self.value is None or self.relation is None:
            return (1, Decimal(0), 0, self.state.value)
        return (0, self.value, ("<", "=", ">").index(self.relation.value), self.text)

    def __eq__(self, other: object) -> bool:
        return self.text == other.text if isinstance(other, Reading) else NotImplemented

    def __lt__(self, other: object) -> bool:
        return self._key() < other._key() if isinstance(other, Reading) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.text)

    def __bool__(self) -> bool:
        return not self.is_blank

    def __str__(self) -> str:
        return self.text

    def __repr__(self) -> str:
        return f"Reading({self.text!r})"


BLANK = Reading("", State.BLANK)

_TICKS = {"Y": Reading("✓", State.PASS), "X": Reading("✗", State.FAIL)}

_STATES = {state.value.upper(): state for state in State if state not in (State.BLANK, State.MEASURED)}


def _advice(written: str) -> str:
    if _NUMBER_WITH_COMMA.fullmatch(written):
        return f"“{written}” has a comma. Type a point: {written.replace(',', '.')}"
    if _NEGATIVE.match(written):
        return f"“{written}” is negative. A reading is zero or more."
    if match := _NUMBER_WITH_WORD.fullmatch(written):
        return (
            f"“{written}” has “{match['word']}” after the number. "
            f"Type the number alone, in the unit of the column heading: {match['number']}"
        )
    return f"“{written}” is not a reading. Type a number such as 0.35 or >200, or LIM, N/V, N/A, ✓ or ✗."
