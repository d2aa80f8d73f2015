"""What is left of an insulation reading when known currents are taken off it.

They are taken off at the voltage the reading was taken at, which for plain resistances is
R = 1 / (1/Rread − 1/Rknown).
"""

import math
from dataclasses import dataclass

from remedies.physics.direct_current import current_at
from remedies.physics.parts import Part
from remedies.physics.quantity import Span, significant, span_text
from remedies.physics.tester import Tester

MOST_ERROR_FACTOR = 10.0  # above this the insulation behind a load is given as a lower bound only


@dataclass(frozen=True, slots=True)
class CableEstimate:
    """The insulation left when the registered loads are taken out of the reading, in MΩ.

    error_factor: how much the error of the reading is multiplied, R_cable / R_read. Above 10, or when the
    loads alone would account for the whole reading, only ``mohm.low`` means anything.
    """

    mohm: Span
    error_factor: float

    @property
    def only_lower_bound(self) -> bool:
        return self.error_factor > MOST_ERROR_FACTOR or math.isinf(self.mohm.high)

    @property
    def text(self) -> str:
        if not self.mohm.low:
            return "hidden by the loads"
        if self.only_lower_bound:
            return f"at least {significant(self.mohm.low, 2)} MΩ"
        return span_text(self.mohm, lambda mohm: f"{significant(mohm, 2)} MΩ")


@dataclass(frozen=True, slots=True)
class Known:
    """What is known to be across, and the tester that reads it."""

    parts: tuple[Part, ...]
    cable_mohm: Span
    tester: Tester

    def terminal_v(self, mohm: float) -> float:
        """The voltage a reading was taken at: nominal, or what the current limit leaves."""
        return min(self.tester.nominal_v, self.tester.current_limit_a * mohm * 1e6)

    def missing_ohm(self, true: Span) -> Span:
        """Of what more is across: the current the reading shows less that of the loads and the cable."""
        typical = self._rest(true.typical, self._amps(true.typical, with_cable=True).typical)
        low = self._rest(true.low, self._amps(true.low, with_cable=True).low)
        high = self._rest(true.high, self._amps(true.high, with_cable=True).high)
        return Span(min(low, typical), typical, max(high, typical))

    def cable(self, true: Span) -> CableEstimate:
        """Of the cable: the current the reading shows less that of the loads."""
        typical = self._rest(true.typical, self._amps(true.typical).typical) * 1e-6
        low = self._rest(true.low, self._amps(true.low).low) * 1e-6
        high = self._rest(true.high, self._amps(true.high).high) * 1e-6
        factor = typical / true.typical if true.typical else 1.0
        return CableEstimate(Span(min(low, typical), typical, max(high, typical)), factor)

    def _amps(self, mohm: float, *, with_cable: bool = False) -> Span:
        volts = self.terminal_v(mohm)
        amps = current_at(self.parts, volts)
        return amps + self.cable_mohm.falling(lambda cable: volts / (cable * 1e6)) if with_cable else amps

    def _rest(self, mohm: float, known_a: float) -> float:
        """Resistance left, in Ω, when a known current is taken off: infinite when nothing is left."""
        if not mohm:
            return 0.0
        volts = self.terminal_v(mohm)
        rest_a = volts / (mohm * 1e6) - known_a
        return volts / rest_a if rest_a > 0 else math.inf
