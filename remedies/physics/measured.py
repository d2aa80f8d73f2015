"""An insulation reading as it was taken."""

import math
from dataclasses import dataclass
from enum import StrEnum

from remedies.physics.quantity import Span


class Settling(StrEnum):
    """What the reading did while the button was held."""

    NOT_WATCHED = "not watched"
    STEADY = "steady at once"
    CLIMBED = "climbed"


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading [MΩ] with its relation (``<``, ``=`` or ``>``) and the nominal test voltage it was taken at.

    resolution_mohm: the last place written. settled_after_s: how long it climbed, if timed.
    """

    mohm: float
    relation: str = "="
    nominal_v: float = 500.0
    resolution_mohm: float = 0.01
    settling: Settling = Settling.NOT_WATCHED
    settled_after_s: float | None = None

    def __post_init__(self) -> None:
        if self.relation not in ("<", "=", ">"):
            raise ValueError(f"A reading is <, = or > its value; got “{self.relation}”.")
        if self.mohm < 0:
            raise ValueError("An insulation reading is zero or more.")

    def true_mohm(self, uncertainty: float) -> Span:
        """Where the true value lies, given the uncertainty as a fraction of the reading.

        >>> Measured(1.30, resolution_mohm=0).true_mohm(0.30)
        Span(low=1.0, typical=1.3, high=1.857)
        """
        half = self.resolution_mohm / 2
        low = max(0.0, self.mohm - half) / (1 + uncertainty)
        high = (self.mohm + half) / (1 - uncertainty)
        if self.relation == ">":
            return Span(low, max(low, self.mohm), math.inf)
        return Span(0.0 if self.relation == "<" else low, self.mohm, high)
