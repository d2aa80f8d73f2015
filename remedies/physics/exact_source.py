"""The sources that give exactly two readings of a stray voltage.

A source is a voltage Voc behind its own admittance Y; a meter of admittance Ym reads V = Voc·|Y| / |Y + Ym|.
Two readings give Voc and |Y| once it is said whether the source is capacitive or resistive, or at what angle
between the two; the accuracy of the meters lets each answer run along a branch. Voltages are in volts r.m.s.,
currents in amperes r.m.s., admittances in siemens.
"""

import itertools
import math
from dataclasses import dataclass

from remedies.physics.meter_reading import MeterReading
from remedies.physics.stray_voltage import Nature


@dataclass(frozen=True, slots=True)
class ExactSource:
    """One exact answer: open voltage, the source's own admittance, current, and how each meter loads it.

    ``loading`` is h of each meter: 0 where it does not load the source, 1 where it swamps it.
    """

    volts: float
    own_s: float
    amps: float
    loading: tuple[float, float] = (0.0, 0.0)

    @property
    def first_loads_more(self) -> bool:
        """Which branch it lies on: two answers to one pair of readings always lie on different ones."""
        return self.loading[0] > self.loading[1]


# Every source is own·direction with own above zero. Turning the meters back by the same angle makes any
# source a plain number, so that one set of formulas serves capacitive, resistive and mixed sources.
DIRECTION = {Nature.CAPACITIVE: 1j, Nature.RESISTIVE: 1 + 0j}


def exact_sources(v1: float, y1: complex, v2: float, y2: complex) -> list[ExactSource]:
    """The sources that give exactly these two readings with meters turned into their direction: none to two.

    (V1²−V2²)·own² + 2·(V1²·b1 − V2²·b2)·own + V1²·|y1|² − V2²·|y2|² = 0, own > 0, bᵢ the real part of yᵢ.
    """
    square = v1**2 - v2**2
    half = v1**2 * y1.real - v2**2 * y2.real
    constant = (v1 * abs(y1)) ** 2 - (v2 * abs(y2)) ** 2
    found = []
    for own in _positive_roots(square, half, constant):
        amps = v1 * abs(own + y1)
        found.append(ExactSource(amps / own, own, amps, (_loading(own, y1), _loading(own, y2))))
    return found


def _positive_roots(square: float, half: float, constant: float) -> list[float]:
    """Roots above zero of square·x² + 2·half·x + constant, without loss of digits."""
    under = half**2 - square * constant
    if under < 0:
        return []
    sum_ = -(half + math.copysign(math.sqrt(under), half))
    roots = {sum_ / square if square else math.inf, constant / sum_ if sum_ else math.inf}
    return sorted(root for root in roots if 0 < root < math.inf)


def _loading(own: float, meter: complex) -> float:
    return 1 - own * (own + meter.real) / abs(own + meter) ** 2


@dataclass(frozen=True, slots=True)
class Branch:
    """Sources of one direction along which the ratio of the readings only rises, or only falls.

    ``exact`` gives the readings as written; ``points`` hold it and those at the corners of the accuracy.
    """

    exact: ExactSource | None
    points: tuple[ExactSource, ...]


def branches(
    first: MeterReading, second: MeterReading, direction: complex, frequency_hz: float
) -> list[Branch]:
    """The branches on which a source in this direction gives the two readings within the meters' accuracy."""
    y1, y2 = (each.meter.admittance(frequency_hz) / direction for each in (first, second))
    pairs = [
        (first.volts, second.volts),
        *itertools.product((first.lowest_v, first.highest_v), (second.lowest_v, second.highest_v)),
    ]
    answers = [exact_sources(v1, y1, v2, y2) for v1, v2 in pairs]
    found = []
    for first_loads_more in (False, True):
        on_branch = [
            next((source for source in each if source.first_loads_more is first_loads_more), None)
            for each in answers
        ]
        sources = [source for source in on_branch if source]
        if not sources:
            continue
        reached = next(_ratio(pair) for pair, source in zip(pairs, on_branch, strict=True) if source)
        for pair, source in zip(pairs, on_branch, strict=True):
            if source is None:
                # The ratio rises towards sources without limit where the first meter loads more, else falls.
                unlimited = (_ratio(pair) > reached) is first_loads_more
                sources += _open_end(first, second, y1, y2, unlimited)
        found.append(Branch(on_branch[0], tuple(sources)))
    return found


def _ratio(pair: tuple[float, float]) -> float:
    return pair[0] / pair[1] if pair[1] else math.inf


def _open_end(
    first: MeterReading, second: MeterReading, y1: complex, y2: complex, unlimited: bool
) -> list[ExactSource]:
    """Where a branch runs to when no source on it gives a pair of readings.

    Either to sources without limit to their current, of a voltage that both readings allow, or to sources of
    constant current without an open voltage.
    """
    if unlimited:
        ends = max(first.lowest_v, second.lowest_v), min(first.highest_v, second.highest_v)
        return [ExactSource(volts, math.inf, math.inf) for volts in ends]
    ends = (
        max(first.lowest_v * abs(y1), second.lowest_v * abs(y2)),
        min(first.highest_v * abs(y1), second.highest_v * abs(y2)),
    )
    return [ExactSource(math.inf, 0.0, amps) for amps in ends]
