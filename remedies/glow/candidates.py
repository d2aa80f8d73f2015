"""The parts compared as remedies: those that just serve, the firm's usual parts, and the user's own.

Each is a row of the register not yet entered, so that what is calculated, what is fitted and what is
registered are the same.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from remedies import bridge
from remedies.enums import CapacitorClass, Connection, LoadKind
from remedies.models import ParallelLoad
from remedies.physics import neon
from remedies.physics.comparison import Choice, choice_of, largest_resistor, least_capacitor
from remedies.physics.operating import Conditions, Draw, lamps
from remedies.physics.parts import Neon, Part, Resistor, SuppressionCapacitor
from remedies.physics.preferred_values import Series, at_or_below
from remedies.physics.stray_voltage import Source

REMEDY_KINDS = (
    LoadKind.CAPACITOR, LoadKind.RC_NETWORK, LoadKind.RESISTOR, LoadKind.LOAD_MODULE, LoadKind.NEON,
)  # fmt: skip
MOST_PRESETS = 6
_USUAL_UF = Decimal("0.1")
_DISCHARGE_OHM = Decimal(1_000_000)
_SERIES_OHM = Decimal(100)
_MODULE_OHM = 33e3
_NEON_OHM = Decimal(220_000)
# Power [W] and working voltage [V] of leaded film resistors as usually made: value from memory.
_RATINGS = tuple(
    (Decimal(watts), volts)
    for watts, volts in (
        ("0.25", 250), ("0.5", 350), ("1", 500), ("2", 500), ("3", 500), ("5", 500), ("10", 500),
    )
)  # fmt: skip
_SPARE = 2  # half the rating used is common practice


@dataclass(frozen=True)
class Candidate:
    """A part to compare. ``whose`` says where it comes from. ``key`` names it by its values: another value is
    another part, and what was chosen never turns into something else."""

    load: ParallelLoad
    whose: str = ""

    @property
    def key(self) -> str:
        values = [*self.load.values().values(), self.load.count]
        return "/".join("" if value is None else _plain(value) for value in values)

    @property
    def part(self) -> Part:
        return replace(bridge.part(self.load), name="")


def _plain(value) -> str:
    return f"{value.normalize():f}" if isinstance(value, Decimal) else str(value)


def candidates(
    sources: Sequence[Source],
    given: Conditions,
    presets: Iterable = (),
    own: ParallelLoad | None = None,
) -> list[Candidate]:
    """The parts worth comparing against a stray source, each once."""
    usual = [
        Candidate(_part(**p.values()), f"your usual part: {p.name}")
        for p in presets
        if p.kind in REMEDY_KINDS
    ]
    found = [*([Candidate(own, "your own")] if own else []), *usual[:MOST_PRESETS]]
    known = {_telling(one.load) for one in found}
    found += [Candidate(load) for load in _that_serve(sources, given) if _telling(load) not in known]
    return list({one.key: one for one in reversed(found)}.values())[::-1]


def _telling(load: ParallelLoad) -> tuple:
    """What makes it the same part to whoever fits it, whatever its ratings."""
    return (load.in_brief(), load.capacitor_class)


def _part(**values) -> ParallelLoad:
    return ParallelLoad(connection=Connection.SWITCHED_L_N, **values)


def _that_serve(sources: Sequence[Source], given: Conditions) -> Iterator[ParallelLoad]:
    least = least_capacitor(sources, given)
    if isinstance(least, SuppressionCapacitor):
        yield from _capacitors(_decimal(least.capacitance_f.typical * 1e6, 4))
    largest = largest_resistor(sources, given)
    if isinstance(largest, Resistor):
        yield from _resistors(largest.resistance_ohm.typical, given)
    yield _part(
        kind=LoadKind.NEON, resistance_ohm=_NEON_OHM, rated_power_w=Decimal("0.5"), rated_voltage_v=350
    )


def _capacitors(least_uf: Decimal) -> Iterator[ParallelLoad]:
    """The least that serves, the usual one where that is larger, with and without a resistor."""
    usual = max(least_uf, _USUAL_UF)
    x2 = {"kind": LoadKind.CAPACITOR, "capacitor_class": CapacitorClass.X2, "rated_voltage_v": 275}
    for microfarads in dict.fromkeys((least_uf, usual)):
        yield _part(capacitance_uf=microfarads, **x2)
    yield _part(capacitance_uf=usual, discharge_resistor_ohm=_DISCHARGE_OHM, **x2)
    yield _part(
        kind=LoadKind.RC_NETWORK, capacitance_uf=usual, resistance_ohm=_SERIES_OHM, rated_voltage_v=275
    )


def _resistors(largest_ohm: float, given: Conditions) -> Iterator[ParallelLoad]:
    """The largest that serves, alone and as two in series, and a load module."""
    yield from _rated_resistor(largest_ohm, 1, given)
    yield from _rated_resistor(at_or_below(largest_ohm / 2, Series.E24), 2, given)
    module = min(_MODULE_OHM, at_or_below(largest_ohm, Series.E12))
    yield _part(kind=LoadKind.LOAD_MODULE, resistance_ohm=_decimal(module, 0))


def _rated_resistor(ohm: float, in_series: int, given: Conditions) -> Iterator[ParallelLoad]:
    """With the smallest usual rating that holds twice the power, and the voltage; nothing where none does."""
    volts = given.highest_v / in_series
    watts = _SPARE * volts**2 / ohm
    rating = next(((w, v) for w, v in _RATINGS if float(w) >= watts and v >= volts * 1.1), None)
    if rating:
        yield _part(
            kind=LoadKind.RESISTOR,
            resistance_ohm=_decimal(ohm, 0),
            resistors_in_series=in_series,
            rated_power_w=rating[0],
            rated_voltage_v=rating[1],
        )


def _decimal(value: float, places: int) -> Decimal:
    return Decimal(f"{value:.{places}f}").normalize() if places else Decimal(round(value))


def is_slow(part: Part, sources: Sequence[Source], given: Conditions) -> bool:
    """Whether calculating it takes noticeably long: a neon that the stray voltage strikes."""
    return isinstance(part, Neon) and any(
        neon.strikes(source, lamps(part, draw), given.lamp_s)
        for source in sources
        for draw in (Draw.TYPICAL, Draw.MOST)
    )


@lru_cache(maxsize=64)
def compared(part: Part, sources: tuple[Source, ...], given: Conditions) -> Choice:
    """One part as a remedy, remembered: a neon takes the better part of a second."""
    return choice_of(part, sources, given)
