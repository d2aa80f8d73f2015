"""A neon lamp with its series resistor, on the supply and on a stray voltage.

Dark until its terminals reach the striking voltage, then i = (v ∓ Vm)/Rs until they fall below the
maintaining voltage. The dark current, ageing and the dark effect (a lamp long in darkness strikes later) are
outside it.
Published lamp behaviour: W. G. Miller, Using and Understanding Miniature Neon Lamps (1969).
"""

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from remedies.physics.stray_voltage import Source

_SETTLING_CYCLES, _MEASURED_CYCLES = 40, 10
_STEPS = 400  # steps of a cycle looked at; between them everything is exact
_LEAST_F = 1e-12  # a node of no capacitance at all does not exist, and would strike without end


@dataclass(frozen=True, slots=True)
class Lamp:
    """A neon and its resistor [Ω], striking and maintaining voltage [V] at the terminals of both."""

    series_ohm: float
    strike_v: float
    maintain_v: float


@dataclass(frozen=True, slots=True)
class OnSupply:
    """Current r.m.s. and rectified average [A], and power of lamp and resistor [W]."""

    current_a: float
    average_a: float
    power_w: float
    resistor_w: float


def on_supply(lamp: Lamp, volts: float) -> OnSupply:
    """A neon on a supply of ``volts`` r.m.s., in closed form.

    It conducts each half cycle from a = asin(Vst/Vp) to b = π − asin(Vm/Vp).

    >>> on = on_supply(Lamp(220e3, 90, 65), 230)
    >>> round(on.current_a * 1e3, 2), round(on.power_w, 2)
    (0.79, 0.18)
    """
    peak = math.sqrt(2) * volts
    if peak <= lamp.strike_v:
        return OnSupply(0.0, 0.0, 0.0, 0.0)
    hold = lamp.maintain_v

    def squared(angle: float) -> float:
        return (
            peak**2 * (angle / 2 - math.sin(2 * angle) / 4)
            + 2 * peak * hold * math.cos(angle)
            + hold**2 * angle
        )

    def simple(angle: float) -> float:
        return -peak * math.cos(angle) - hold * angle

    a, b = math.asin(lamp.strike_v / peak), math.pi - math.asin(hold / peak)
    rms = math.sqrt((squared(b) - squared(a)) / math.pi) / lamp.series_ohm
    average = (simple(b) - simple(a)) / (math.pi * lamp.series_ohm)
    resistor = rms**2 * lamp.series_ohm
    return OnSupply(rms, average, resistor + hold * average, resistor)


@dataclass(frozen=True, slots=True)
class OnStray:
    """What neons leave of a stray voltage: r.m.s. and peak [V], and whether any of them strikes."""

    volts: float
    peak_v: float
    strikes: bool


def strikes(source: Source, lamps: Sequence[Lamp], *across: complex) -> bool:
    """Whether the stray voltage, with every linear remedy connected, reaches the lowest striking voltage."""
    return math.sqrt(2) * source.volts(*across) >= min(lamp.strike_v for lamp in lamps)


def on_stray(source: Source, lamps: Sequence[Lamp], *across: complex) -> OnStray:
    """What a meter of very high impedance would show across neons on a stray voltage.

    The node charges and discharges on exact exponentials and sines between one strike or extinction and the
    next; charge is kept at each. Neons that could strike together do so lowest first.
    """
    linear = source.volts(*across)
    if not strikes(source, lamps, *across):
        return OnStray(linear, math.sqrt(2) * linear, False)
    return _Run(source, lamps, source.admittance_s + sum(across)).result()


class _Run:
    """The node through some tens of cycles: its voltage, and which neons are lit and which way round."""

    def __init__(self, source: Source, lamps: Sequence[Lamp], own: complex) -> None:
        self.omega = 2 * math.pi * source.frequency_hz
        self.drive = math.sqrt(2) * source.short_circuit_a
        self.conductance = own.real
        self.capacitance = max(own.imag / self.omega, _LEAST_F)
        self.lamps = sorted(lamps, key=lambda lamp: lamp.strike_v)
        self.lit = [0] * len(lamps)  # 0 dark, +1 or −1 lit
        self.volts = self.time = 0.0
        self.squares = self.peak = 0.0

    def result(self) -> OnStray:
        step = 2 * math.pi / self.omega / _STEPS
        for _ in range(_SETTLING_CYCLES * _STEPS):
            self._advance(step)
        self.squares, self.peak = 0.0, 0.0
        for _ in range(_MEASURED_CYCLES * _STEPS):
            self._advance(step)
        mean = self.squares / (_MEASURED_CYCLES * _STEPS * step)
        return OnStray(math.sqrt(mean), self.peak, True)

    def _advance(self, step: float) -> None:
        """One step, cut at every strike and extinction inside it."""
        left = step
        while left > 0:
            used = left
            if self._due(self._after(left)):
                low, high = 0.0, left
                for _ in range(40):
                    middle = (low + high) / 2
                    low, high = (low, middle) if self._due(self._after(middle)) else (middle, high)
                used = high
            before, self.volts = self.volts, self._after(used)
            self.time += used
            self.squares += used * (before**2 + before * self.volts + self.volts**2) / 3  # straight between
            self.peak = max(self.peak, abs(self.volts))
            left -= used
            if (change := self._due(self.volts)) is not None:
                index, state = change
                self.lit[index] = state

    def _due(self, volts: float) -> tuple[int, int] | None:
        """The first neon that strikes or goes out at this voltage, and what it becomes."""
        for index, (lamp, lit) in enumerate(zip(self.lamps, self.lit, strict=True)):
            if lit and volts * lit < lamp.maintain_v:
                return index, 0
            if not lit and abs(volts) >= lamp.strike_v:
                return index, 1 if volts > 0 else -1
        return None

    def _after(self, seconds: float) -> float:
        """The node's voltage that long from now, while the same neons stay lit."""
        conductance, fixed = self.conductance, 0.0
        for lamp, lit in zip(self.lamps, self.lit, strict=True):
            if lit:
                conductance += 1 / lamp.series_ohm
                fixed += lit * lamp.maintain_v / lamp.series_ohm
        wave = self.drive / complex(conductance, self.omega * self.capacitance)

        def settled(time: float) -> float:
            return (wave * cmath.exp(1j * self.omega * time)).imag

        now, then = settled(self.time), settled(self.time + seconds)
        if conductance == 0:
            return self.volts - now + then
        resting = fixed / conductance
        fading = math.exp(-seconds * conductance / self.capacitance)
        return then + resting + (self.volts - now - resting) * fading
