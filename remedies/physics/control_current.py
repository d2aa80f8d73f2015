"""The current an electronic control passes through the lamp when off, and what must carry it past the lamp.

A timer, sensor or smart switch without neutral, or a suppression network across a contact, stands in series
with the lamp: from the lamp it is a source like any stray voltage, of the control's off-state current I and,
open circuit, the supply voltage V. Its own admittance is I/V. Across the lamp of threshold Vg:

    R ≤ Vg / I        C ≥ I / (ω·Vg)

to first order, exactly by ``Source.volts``. Volts and amperes are r.m.s.
"""

import math
from dataclasses import dataclass

from remedies.physics.checked import number
from remedies.physics.operating import Conditions
from remedies.physics.preferred_values import Series, at_or_above, at_or_below
from remedies.physics.quantity import engineering, microfarads, ohms, significant
from remedies.physics.stray_voltage import Nature, Source


@dataclass(frozen=True, slots=True)
class Control:
    """An electronic control: the current it passes or needs when off [A], and how it takes it.

    ``nature``: capacitive for a network across a contact or a capacitor-fed supply, resistive otherwise.
    """

    off_current_a: float
    nature: Nature = Nature.CAPACITIVE

    def __post_init__(self) -> None:
        instead = "Give the off-state current in amperes from the data sheet, 0.5e-3 for 0.5 mA."
        number("off-state current", self.off_current_a, "A", low=1e-7, high=0.05, instead=instead)

    def source(self, conditions: Conditions | None = None) -> Source:
        """The control as the lamp sees it, for ``remedy.evaluate``."""
        given = conditions or Conditions()
        own = self.off_current_a / given.supply_v
        unit = 1j if self.nature is Nature.CAPACITIVE else 1
        return Source(self.off_current_a, own * unit, given.frequency_hz)


@dataclass(frozen=True, slots=True)
class PastTheLamp:
    """What a control does to the lamp, and what across the lamp lets it pass without a glow.

    lamp_v: voltage across the lamp with nothing beside it [V], the lamp drawing nothing until it glows.
    glows: whether that reaches the threshold; None inside its range. largest_ohm and smallest_f: exact
    limits, with the preferred value on the safe side beside each. resistor_w: of that resistor on the
    supply.
    """

    lamp_v: float
    glows: bool | None
    largest_ohm: float
    resistor_ohm: float
    resistor_w: float
    smallest_f: float
    capacitor_f: float
    working: tuple[str, ...]


def past_the_lamp(control: Control, conditions: Conditions | None = None) -> PastTheLamp:
    """What the lamp shows for the control's current, and what a part across the lamp must carry.

    >>> past = past_the_lamp(Control(0.5e-3))
    >>> ohms(past.resistor_ohm), microfarads(past.capacitor_f)
    ('20 kΩ', '0.22 µF')
    """
    given = conditions or Conditions()
    source = control.source(given)
    lamp_v = source.volts(given.lamp_s)
    dark_v = given.glow_v.low
    # The part must bring the whole admittance to I/Vg; what source and lamp already have counts.
    whole = control.off_current_a / dark_v
    own = source.admittance_s + given.lamp_s
    conductance = _missing(whole, own.imag, own.real)
    susceptance = _missing(whole, own.real, own.imag)
    omega = 2 * math.pi * given.frequency_hz
    largest, smallest = 1 / conductance, susceptance / omega
    resistor, capacitor = at_or_below(largest, Series.E24), at_or_above(smallest, Series.E6)
    watts = given.supply_v**2 / resistor
    limit = f"{significant(dark_v)} V"
    return PastTheLamp(
        lamp_v,
        None if given.glow_v.low < lamp_v < given.glow_v.high else lamp_v >= given.glow_v.high,
        largest,
        resistor,
        watts,
        smallest,
        capacitor,
        (
            f"{engineering(control.off_current_a, 'A')} must pass at {limit} or less",
            f"R ≤ {limit} ÷ {engineering(control.off_current_a, 'A')}, about {ohms(largest)}: take "
            f"{ohms(resistor)}, which takes {significant(given.supply_v)}² ÷ {ohms(resistor)} = "
            f"{engineering(watts, 'W')} when the lamp is on",
            f"C ≥ {engineering(control.off_current_a, 'A')} ÷ ({significant(omega)} × {limit}), about "
            f"{microfarads(smallest)}: take {microfarads(capacitor)}",
        ),
    )


def _missing(whole: float, beside: float, already: float) -> float:
    """What a conductance (or susceptance) must add so that the whole reaches its size; at least a trace."""
    return max(math.sqrt(max(whole**2 - beside**2, 0.0)) - already, 1e-9)
