"""The stray voltage of a conductor that nothing feeds, and what a meter shows of it.

A conductor left floating is a node. Energised neighbours reach it through capacitance (and, where insulation
is damp, resistance); capacitance to neutral and earth, the meter and any remedy draw from it. With V for
volts r.m.s. as phasors, Y = 1/R + jωC for admittances and ω = 2πf:

    V = Σ(Vₖ·Yₖ) / (ΣYₖ + Y_earth + Y_meter + Y_remedy)        reading = |V|

Voltages are in volts r.m.s., resistances in ohms, capacitances in farads, currents in amperes r.m.s.
Everything is linear and at one frequency: harmonics, meters whose input changes with voltage, and voltages
induced along a conductor by a current are outside it.
"""

import cmath
import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from remedies.physics.checked import InputError, number
from remedies.physics.quantity import engineering, ohms

FIGURES = tomllib.loads((Path(__file__).parent / "data" / "stray_voltage.toml").read_text("utf-8"))

NOMINAL_V: float = FIGURES["supply"]["nominal_v"]
HIGHEST_V: float = FIGURES["supply"]["highest_v"]
_LIMITS = FIGURES["limits"]


def supply_volts(value: float | None) -> float:
    """A supply voltage, checked."""
    low, high = _LIMITS["supply_low_v"], _LIMITS["supply_high_v"]
    instead = (
        "Give the voltage to neutral in volts, 230 for a public supply; nothing here is for high voltage."
    )
    return number("supply voltage", value, "V", low=low, high=high, instead=instead)


def supply_frequency(value: float | None) -> float:
    """A supply frequency, checked."""
    low, high = _LIMITS["frequency_low_hz"], _LIMITS["frequency_high_hz"]
    return number("supply frequency", value, "Hz", low=low, high=high, instead="Give 50 or 60.")


def admittance(resistance_ohm: float, capacitance_f: float, frequency_hz: float = 50.0) -> complex:
    """1/R + jωC [S] of a resistance and a capacitance side by side; an infinite resistance is none.

    >>> round(1 / abs(admittance(float("inf"), 0.33e-6)))    # a published check: 9.646 kΩ
    9646
    """
    return 1 / resistance_ohm + 2j * math.pi * frequency_hz * capacitance_f


@dataclass(frozen=True, slots=True)
class Meter:
    """A voltmeter's input: resistance [Ω] and the capacitance beside it [F]."""

    resistance_ohm: float
    capacitance_f: float = 0.0

    def __post_init__(self) -> None:
        instead = "Give the input resistance in ohms from the data sheet, 10e6 for 10 MΩ."
        number("meter input resistance", self.resistance_ohm, "Ω", low=100, high=1e12, instead=instead)
        instead = "Give the input capacitance in farads, 100e-12 for 100 pF, or 0 when it is not known."
        number("meter input capacitance", self.capacitance_f, "F", low=0, high=1e-6, instead=instead)

    def admittance(self, frequency_hz: float) -> complex:
        return admittance(self.resistance_ohm, self.capacitance_f, frequency_hz)

    def __str__(self) -> str:
        beside = f" with {engineering(self.capacitance_f, 'F')}" if self.capacitance_f else ""
        return f"{ohms(self.resistance_ohm)}{beside}"


@dataclass(frozen=True, slots=True)
class Neighbour:
    """An energised conductor beside the floating one: its voltage to neutral and what couples it.

    ``degrees`` is its phase angle: 0, −120 and 120 for the three phases. ``leak_ohm`` is the insulation
    between them.
    """

    volts: float
    capacitance_f: float
    degrees: float = 0.0
    leak_ohm: float = math.inf

    def __post_init__(self) -> None:
        supply_volts(self.volts)
        instead = "Give the capacitance in farads, 1.4e-9 for 20 m at 70 pF/m."
        number("coupling capacitance", self.capacitance_f, "F", low=0, high=1e-6, instead=instead)
        _leak("leak to the energised conductor", self.leak_ohm)
        if not math.isfinite(self.degrees):
            raise InputError("phase angle", f"{self.degrees} is not an angle. Give degrees: 0, -120 or 120.")

    @property
    def phasor(self) -> complex:
        return cmath.rect(self.volts, math.radians(self.degrees))

    def admittance(self, frequency_hz: float) -> complex:
        return admittance(self.leak_ohm, self.capacitance_f, frequency_hz)


def _leak(subject: str, resistance_ohm: float) -> None:
    instead = "Give the resistance in ohms, or infinity when the insulation is sound."
    number(subject, resistance_ohm, "Ω", low=1, high=1e15, instead=instead, allow_infinite=True)


class Nature(StrEnum):
    """What a source may be: coupled through capacitance, or fed through resistance (leakage)."""

    CAPACITIVE = "capacitive"
    RESISTIVE = "resistive"


@dataclass(frozen=True, slots=True)
class Source:
    """What feeds the floating conductor: the current it gives into a short circuit, and its own admittance.

    Kept as a current, because that stays known when every meter used was too heavy to show the voltage.
    """

    short_circuit_a: float
    admittance_s: complex
    frequency_hz: float = 50.0

    @property
    def open_circuit_v(self) -> float:
        """Voltage with nothing connected [V]; infinite when the readings could not show it."""
        return self.volts()

    @property
    def capacitance_f(self) -> float:
        """The capacitance a meter sees: to the neighbours and to neutral and earth together [F]."""
        return self.admittance_s.imag / (2 * math.pi * self.frequency_hz)

    def volts(self, *across: complex) -> float:
        """Voltage to neutral [V] with these admittances connected: a meter, a remedy, the lamp."""
        every = abs(self.admittance_s + sum(across))
        return self.short_circuit_a / every if every else math.inf

    def reading(self, meter: Meter, *across: complex) -> float:
        """What the meter shows [V]."""
        return self.volts(meter.admittance(self.frequency_hz), *across)


def source(
    neighbours: Sequence[Neighbour],
    *,
    earth_capacitance_f: float = 0.0,
    earth_leak_ohm: float = math.inf,
    frequency_hz: float = 50.0,
) -> Source:
    """What a floating conductor presents, from the energised conductors beside it.

    Phasors are added, never magnitudes: three equal phases in one trunking nearly cancel.
    earth_capacitance_f, earth_leak_ohm: to neutral and earth together [F, Ω]. frequency_hz [Hz].

    70 pF/m over 20 m at 230 V, and a meter of 10 MΩ with 100 pF:

    >>> round(source([Neighbour(230, 1.4e-9)]).reading(Meter(10e6, 100e-12)))
    210
    """
    if not neighbours:
        raise InputError("energised conductors", "none was given. Give at least one that is live beside it.")
    supply_frequency(frequency_hz)
    instead = "Give the capacitance to neutral and earth in farads, or 0."
    number("capacitance to earth", earth_capacitance_f, "F", low=0, high=1e-5, instead=instead)
    _leak("leak to earth", earth_leak_ohm)
    couplings = [neighbour.admittance(frequency_hz) for neighbour in neighbours]
    current = sum(
        neighbour.phasor * coupling for neighbour, coupling in zip(neighbours, couplings, strict=True)
    )
    own = sum(couplings) + admittance(earth_leak_ohm, earth_capacitance_f, frequency_hz)
    if own == 0:
        raise InputError("coupling", "all capacitances and leaks are zero. Give at least one above zero.")
    return Source(abs(current), own, frequency_hz)
