"""What a part takes on the supply, and the conditions a remedy works under.

At supply voltage V: I = V·|Yx|, P = V²·Re Yx, Q = V²·|Im Yx|. A capacitor is Yx = 1/Rb + ωC·tanδ + jωC, an RC
network 1/(R + 1/(jωC)); a neon is computed in closed form (``neon``). Volts and amperes are r.m.s.
"""

import math
import tomllib
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from remedies.physics import neon
from remedies.physics.checked import InputError, number
from remedies.physics.parts import LoadModule, Neon, Part, RcNetwork, Resistor, SuppressionCapacitor
from remedies.physics.quantity import Span
from remedies.physics.stray_voltage import HIGHEST_V, NOMINAL_V, supply_frequency, supply_volts

FIGURES = tomllib.loads((Path(__file__).parent / "data" / "remedy.toml").read_text("utf-8"))
_GLOW_V = Span(FIGURES["glow"]["low_v"], FIGURES["glow"]["typical_v"], FIGURES["glow"]["high_v"])


class Reach(StrEnum):
    """How near a hand comes to the part's surface, in the words of BS 7671 Table 42.1."""

    HELD = "held"
    TOUCHED = "touched"
    NOT_TOUCHED = "not_touched"


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """Where and on what a remedy works. Every default is a nominal value or an assumption to be changed.

    supply_v, highest_v: nominal and highest supply [V]. glow_v: lamp voltage up to whose low end the lamp is
    taken as dark, and above whose high end as glowing [V]. lamp_s: what the unlit lamp itself draws [S]; none
    puts the voltage on the high side. ambient_c: air round the part [°C]. enclosed: shut in a box or under
    insulation. reach, metal: how the case can be touched and whether it is metal. rcd_rated_a: IΔn [A].
    standing_a: protective conductor current already there [A]. hours_on: hours a year energised.
    price_per_kwh: in any currency; None leaves the cost out.
    """

    supply_v: float = NOMINAL_V
    highest_v: float = HIGHEST_V
    frequency_hz: float = 50.0
    glow_v: Span = _GLOW_V
    lamp_s: complex = 0j
    ambient_c: float = FIGURES["air"]["ambient_c"]
    enclosed: bool = False
    reach: Reach = Reach.NOT_TOUCHED
    metal: bool = False
    rcd_rated_a: float = FIGURES["rcd"]["rated_a"]
    standing_a: float = 0.0
    hours_on: float = FIGURES["use"]["hours_on"]
    price_per_kwh: float | None = None

    def __post_init__(self) -> None:
        supply_volts(self.supply_v)
        supply_volts(self.highest_v)
        supply_frequency(self.frequency_hz)
        if self.highest_v < self.supply_v:
            message = (
                f"{self.highest_v:g} V is below the nominal {self.supply_v:g} V. Give 253 for 230 V + 10 %."
            )
            raise InputError("highest supply voltage", message)
        instead = (
            "Give the lamp voltage at which it starts to glow, in volts above 0: 10 to 40 if not measured."
        )
        number("glow threshold", self.glow_v.low, "V", low=0.1, high=self.supply_v, instead=instead)
        number("glow threshold", self.glow_v.high, "V", low=0.1, high=self.supply_v, instead=instead)
        instead = "Give the air temperature in °C, 25 for a room."
        number("air temperature", self.ambient_c, "°C", low=-40, high=150, instead=instead)
        instead = "Give hours in a year, 8760 for always."
        number("hours energised", self.hours_on, "h", low=0, high=8784, instead=instead)
        instead = "Give the rated residual current in amperes: 0.03 for 30 mA."
        number("RCD rating", self.rcd_rated_a, "A", low=0.005, high=10, instead=instead)
        instead = "Give amperes, 0 when none is known."
        number("standing current", self.standing_a, "A", low=0, high=10, instead=instead)
        if self.price_per_kwh is not None:
            instead = "Give the price of one kWh, or leave it out."
            number("price", self.price_per_kwh, "a kWh", low=0, high=1000, instead=instead)

    @property
    def touch_limit_c(self) -> float:
        """Highest surface temperature of BS 7671 Table 42.1 for this reach and material [°C]."""
        return float(FIGURES["touch"]["metal" if self.metal else "other"][self.reach.value])


class Draw(StrEnum):
    """Which end of a part's tolerance: where it draws least, the typical value, where it draws most."""

    LEAST = "least"
    TYPICAL = "typical"
    MOST = "most"

    def ohm(self, span: Span) -> float:
        return {Draw.LEAST: span.high, Draw.TYPICAL: span.typical, Draw.MOST: span.low}[self]

    def farad(self, span: Span) -> float:
        return {Draw.LEAST: span.low, Draw.TYPICAL: span.typical, Draw.MOST: span.high}[self]


def admittance(part: Part, draw: Draw = Draw.TYPICAL, frequency_hz: float = 50.0) -> complex:
    """Admittance [S] of all the items of a linear part. Raises InputError for a part that is not linear.

    >>> from remedies.physics.register_entry import RegisterEntry, from_register
    >>> capacitor = from_register(RegisterEntry("suppression_capacitor", capacitance_uf=0.1))
    >>> round(230 * abs(admittance(capacitor)) * 1e3, 2)    # mA at 230 V
    7.23
    """
    omega = 2 * math.pi * frequency_hz
    match part:
        case SuppressionCapacitor():
            susceptance = omega * draw.farad(part.capacitance_f)
            bleed = 1 / draw.ohm(part.discharge_ohm) if part.discharge_ohm else 0.0
            one = complex(bleed + susceptance * FIGURES["capacitor"]["loss_factor"], susceptance)
        case RcNetwork():
            bleed = 1 / draw.ohm(part.discharge_ohm) if part.discharge_ohm else 0.0
            one = 1 / (
                draw.ohm(part.resistance_ohm) + 1 / complex(bleed, omega * draw.farad(part.capacitance_f))
            )
        case Resistor():
            one = complex(1 / draw.ohm(part.total_ohm))
        case LoadModule():
            one = complex(1 / draw.ohm(part.resistance_ohm))
        case _:
            raise InputError(
                part.title,
                "is not a remedy to calculate. Give a capacitor, RC network, resistor, neon or load module.",
            )
    return part.count * one


def lamps(part: Neon, draw: Draw = Draw.TYPICAL) -> list[neon.Lamp]:
    """The neons of a part, for ``neon``."""
    strike, maintain = (draw.ohm(span) for span in (part.strike_v, part.maintain_v))
    return [neon.Lamp(draw.ohm(part.series_ohm), strike, maintain)] * part.count


@dataclass(frozen=True, slots=True)
class OnState:
    """All items of a part on the supply: volts, current [A], power [W] and reactive power [var]."""

    volts: float
    current_a: float
    power_w: float
    reactive_var: float


def on_state(part: Part, volts: float, draw: Draw = Draw.TYPICAL, frequency_hz: float = 50.0) -> OnState:
    """What a part takes on the supply."""
    if isinstance(part, Neon):
        on = neon.on_supply(lamps(part, draw)[0], volts)
        return OnState(volts, part.count * on.current_a, part.count * on.power_w, 0.0)
    own = admittance(part, draw, frequency_hz)
    return OnState(volts, volts * abs(own), volts**2 * own.real, volts**2 * abs(own.imag))
