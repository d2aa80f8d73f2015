"""An insulation tester: what it holds, what it shows, and where its two leads are."""

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import ClassVar

from remedies.physics.quantity import engineering

USUAL_TEST_V = (250.0, 500.0, 1000.0)
LEAST_LIMIT_A = 0.001  # IEC 61557-2: at least 1 mA at rated voltage
MOST_LIMIT_A = 0.015  # IEC 61557-2: at most 15 mA shorted


class Between(StrEnum):
    """Where the tester's two leads are."""

    LINE_NEUTRAL = "L-N"
    LIVES_JOINED_EARTH = "L+N to E"
    LINE_EARTH = "L-E"
    NEUTRAL_EARTH = "N-E"
    LINE_LINE = "L-L"


@dataclass(frozen=True, slots=True)
class Tester:
    """An insulation tester: nominal d.c. voltage [V], current limit [A], top of its range and step [MΩ].

    The current limit is a setting of the instrument; 1 mA is the least IEC 61557-2 allows and the assumption
    where it is not known. Raises ValueError for a limit outside 1 mA to 15 mA.
    """

    __test__: ClassVar[bool] = False  # no test case, whatever its name begins with

    nominal_v: float = 500.0
    current_limit_a: float = LEAST_LIMIT_A
    range_top_mohm: float = 200.0
    resolution_mohm: float = 0.01

    def __post_init__(self) -> None:
        if not LEAST_LIMIT_A <= self.current_limit_a <= MOST_LIMIT_A:
            given = engineering(self.current_limit_a, "A")
            raise ValueError(f"An insulation tester’s current limit is 1 mA to 15 mA; got {given}.")
        if min(self.nominal_v, self.range_top_mohm, self.resolution_mohm) <= 0:
            raise ValueError("An insulation tester’s voltage, range and resolution are above zero.")

    def at(self, nominal_v: float) -> "Tester":
        """The same instrument set to another voltage."""
        return replace(self, nominal_v=nominal_v)

    def display(self, mohm: float) -> str:
        """A value as the instrument shows it, in MΩ.

        >>> Tester().display(0.2558), Tester().display(512)
        ('0.26', '>200')
        """
        if mohm > self.range_top_mohm:
            return f">{self.range_top_mohm:g}"
        places = max(0, -math.floor(math.log10(self.resolution_mohm) + 1e-9))
        return f"{round(mohm / self.resolution_mohm) * self.resolution_mohm:.{places}f}"
