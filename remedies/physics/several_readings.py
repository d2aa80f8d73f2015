"""Two or three readings of a stray voltage taken together: one verdict, and the source to calculate on.

Every pair of readings must fit one source. So one pair that shows a live conductor decides, whatever the
others say; one pair that cannot come from a passive source puts all of them in doubt; and one pair that
proves a small current proves it for all.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from remedies.physics.checked import InputError
from remedies.physics.meter_reading import MeterReading
from remedies.physics.source_from_readings import Judgement, Verdict, judge
from remedies.physics.stray_voltage import NOMINAL_V, Nature, Source
from remedies.physics.three_readings import ThreeReadings, judge_three

_DECIDES = (Verdict.STIFF, Verdict.IMPOSSIBLE, Verdict.COUPLED, Verdict.UNDECIDED, Verdict.NOTHING)
_LEAK = (
    "Fed through resistance, not coupled: damp or damaged insulation, an indicator or a control feeds it. "
    "Find which, before anything is left across the lamp."
)


@dataclass(frozen=True, slots=True)
class Judged:
    """What the readings say: the pair that decides with its verdict, and the nature that a third one shows.

    ``leak`` is what to do first where three readings say that the source is resistive; empty otherwise.
    """

    judgement: Judgement
    first: MeterReading
    second: MeterReading
    three: ThreeReadings | None = None

    @property
    def verdict(self) -> Verdict:
        return self.judgement.verdict

    @property
    def leak(self) -> str:
        return _LEAK if self.three and self.three.nature is Nature.RESISTIVE else ""

    @property
    def sources(self) -> tuple[Source, ...]:
        """Every source the readings allow, for calculating a remedy on; raises InputError unless coupled."""
        return self.judgement.sources


def judge_readings(
    readings: Sequence[MeterReading], *, supply_v: float = NOMINAL_V, frequency_hz: float = 50.0
) -> Judged:
    """What two or three readings of one conductor say together. supply_v [V], frequency_hz [Hz].

    >>> from remedies.physics.stray_voltage import Meter
    >>> judge_readings([MeterReading(100, Meter(10e6, 100e-12)), MeterReading(8, Meter(300e3))]).verdict.value
    'coupled'
    """
    if not 2 <= len(readings) <= 3:
        raise InputError(
            "meter readings",
            f"{len(readings)} given.",
            "Give two or three, taken at one place with inputs of different impedance.",
        )
    pairs = [
        Judged(judge(one, other, supply_v=supply_v, frequency_hz=frequency_hz), one, other)
        for one, other in itertools.combinations(readings, 2)
    ]
    decisive = min(pairs, key=lambda pair: (_DECIDES.index(pair.verdict), _width(pair.judgement)))
    if len(readings) < 3:
        return decisive
    three = judge_three((readings[0], readings[1], readings[2]), frequency_hz=frequency_hz)
    if three.open_circuit_v is None and decisive.verdict is not Verdict.STIFF:
        return Judged(Judgement(Verdict.IMPOSSIBLE, three.text), decisive.first, decisive.second, three)
    return Judged(decisive.judgement, decisive.first, decisive.second, three)


def _width(judgement: Judgement) -> float:
    """How far apart the currents lie that a pair allows: of several that agree, the sharpest counts."""
    amps = judgement.short_circuit_a
    return amps.high - amps.low if amps else 0.0
