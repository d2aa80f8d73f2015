"""A voltage read with a meter, and how far off it may be."""

import math
from dataclasses import dataclass

from remedies.physics.checked import number
from remedies.physics.stray_voltage import FIGURES, Meter

_METER = FIGURES["meter"]


@dataclass(frozen=True, slots=True)
class MeterReading:
    """A voltage read [V], and the meter: its accuracy is ±(gain error × reading + digits × resolution)."""

    volts: float
    meter: Meter
    gain_error: float = _METER["gain_error"]
    digits: int = _METER["digits"]
    resolution_v: float = _METER["resolution_v"]

    def __post_init__(self) -> None:
        instead = "Give the volts shown, zero or more."
        number(
            "meter reading", self.volts, "V", low=0, high=FIGURES["limits"]["supply_high_v"], instead=instead
        )
        instead = "Give a fraction: 0.02 for ±2 %."
        number("meter gain error", self.gain_error, "", low=0, high=0.5, instead=instead)
        number("meter digits", self.digits, "", low=0, high=100, instead="Give the digits of the data sheet.")
        instead = "Give the last place of the display in volts: 0.1."
        number("meter resolution", self.resolution_v, "V", low=0, high=10, instead=instead)

    @property
    def error_v(self) -> float:
        return self.volts * self.gain_error + self.digits * self.resolution_v

    @property
    def relative_error(self) -> float:
        return self.error_v / self.volts if self.volts else math.inf

    @property
    def lowest_v(self) -> float:
        return max(self.volts - self.error_v, 0.0)

    @property
    def highest_v(self) -> float:
        return self.volts + self.error_v
