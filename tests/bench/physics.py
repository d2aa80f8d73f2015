"""Expected readings: 10,000 circuits, each with a random mix of loads left across it."""

import random
import time
from collections.abc import Callable, Iterator
from decimal import Decimal

from inspections.models import Instrument
from remedies import bridge
from remedies.enums import LoadKind
from remedies.models import ParallelLoad
from remedies.physics.insulation_test import SOUND_CABLE_MOHM, expected_reading
from remedies.physics.parts import Connection, Kind, Part
from remedies.physics.register_entry import RegisterEntry, from_register
from remedies.physics.tester import USUAL_TEST_V, Tester

CIRCUITS = 10_000
TARGET_S = 1.0
_SEED = 20261125
_VALUES = {
    Kind.SUPPRESSION_CAPACITOR: {"capacitance_uf": (0.047, 0.1, 0.22), "discharge_ohm": (None, 470e3, 1e6)},
    Kind.RC_NETWORK: {"capacitance_uf": (0.047, 0.1), "resistance_ohm": (100, 120)},
    Kind.NEON: {"resistance_ohm": (150e3, 220e3, 270e3, None)},
    Kind.ACCESSORY_NEON: {"resistance_ohm": (270e3, 470e3, None)},
    Kind.RESISTOR: {"resistance_ohm": (100e3, 330e3, 470e3), "in_series": (1, 2)},
    Kind.SURGE_PROTECTION: {"continuous_v": (255, 275, 320, None)},
}


def circuits(number: int = CIRCUITS) -> list[list[Part]]:
    """Mixes of one to four entries of any kind, the same at every run."""
    chance = random.Random(_SEED)
    return [[_entry(chance) for _ in range(chance.randint(1, 4))] for _ in range(number)]


def _entry(chance: random.Random) -> Part:
    kind = chance.choice(list(Kind))
    values = {name: chance.choice(choices) for name, choices in _VALUES.get(kind, {}).items()}
    return from_register(
        RegisterEntry(
            kind,
            connection=chance.choice([Connection.LINE_NEUTRAL, Connection.SWITCHED_LINE_NEUTRAL]),
            count=chance.randint(1, 6),
            **values,
        )
    )


def rows(number: int = CIRCUITS) -> list[list[ParallelLoad]]:
    """Mixes of register entries of which only the kind and the count are known."""
    chance = random.Random(_SEED)
    kinds = list(LoadKind)
    return [
        [
            ParallelLoad(kind=chance.choice(kinds), count=chance.randint(1, 6), place="Hall")
            for _ in range(chance.randint(1, 4))
        ]
        for _ in range(number)
    ]


def report() -> Iterator[str]:
    mixes = circuits()
    for volts in USUAL_TEST_V:
        tester = Tester(volts)
        yield _line(
            f"expected readings of {CIRCUITS:,} circuits at {volts:g} V",
            lambda tester=tester: [expected_reading(SOUND_CABLE_MOHM, mix, tester) for mix in mixes],
        )
    register = rows()
    known = Instrument(insulation_current_ma=Decimal(1), insulation_range_top_mohm=999)
    yield _line(
        f"of {CIRCUITS:,} circuits from their register entries, at 500 V",
        lambda: [bridge.expected_reading_for(loads, 500, known) for loads in register],
    )


def _line(what: str, act: Callable[[], object]) -> str:
    seconds = min(_seconds(act) for _ in range(3))
    verdict = "met" if seconds <= TARGET_S else "NOT MET"
    return f"{what:58} {seconds * 1000:8.0f} ms  target {TARGET_S * 1000:.0f} ms  {verdict}"


def _seconds(act: Callable[[], object]) -> float:
    """Processor time, so that a busy machine counts less."""
    start = time.process_time()
    act()
    return time.process_time() - start
