"""What an insulation tester should show across a circuit with its registered loads left in.

The tester holds its nominal voltage while the current is below its limit; above, it holds the current and the
voltage falls. What is across it adds up as direct current: insulation and resistors V/R, a lit neon
(V − maintaining voltage)/R, electronics through their rectifier, a varistor by its law, a charged capacitor
nothing. The reading is the voltage reached divided by the current.

Every answer is a range. Its low end takes every value where it passes most current and every neon that
could be lit as lit; its high end the opposite; between them is the typical case, with neons struck one by one
as the voltage rises. The formulas are held to a circuit simulator in ``tests/reference/physics``.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from remedies.physics.charge import SAFE_TO_TOUCH_V, charge_of
from remedies.physics.direct_current import (
    HIGH,
    LOW,
    TYPICAL,
    corner,
    if_not_struck,
    settled,
    strike_one_by_one,
)
from remedies.physics.parts import ELECTRONIC, Kind, Neon, Part, Path, describe
from remedies.physics.quantity import Span, duration, engineering, ohms, significant, span_text
from remedies.physics.sight import closes_a_path, sort_by_sight
from remedies.physics.tester import USUAL_TEST_V, Between, Tester

# Sound insulation: from the 2 MΩ below which guidance (IET Guidance Note 3) asks for a closer look, to far
# beyond the range of a tester. The typical value is an assumption.
SOUND_CABLE_MOHM = Span(2.0, 200.0, 10_000.0)

_WHY_SERIES = "Loads to a third conductor may stand in series across the tester."
_WHY_NEON = (
    "Whether a neon lights depends on how the voltage is raised: it ends between the neon’s maintaining and "
    "striking voltages, or the current limit lets the lamps light only in part."
)
_WHY_UNSTEADY = {
    **dict.fromkeys(
        ELECTRONIC,
        "Electronics may start up or change while tested; the range is that of the settled circuit.",
    ),
    Kind.UNKNOWN: "A load of unknown kind may read anything.",
}


@dataclass(frozen=True, slots=True)
class ExpectedReading:
    """What the tester should show, as a range, and what goes with it.

    mohm: the reading. terminal_v: the voltage reached. settle_s: until charged, or within 1 % where the
    current limit holds the voltage down. discharge_s: until what stays charged is below 60 V by itself,
    without the instrument's help. stored_j: energy held at the end. across: loads this test sees. not_seen:
    loads it does not. lit: of each neon across, how many are lit in the typical case. reasons: why the
    outcome is uncertain, empty when it is not.
    """

    mohm: Span
    terminal_v: Span
    settle_s: Span
    discharge_s: Span
    stored_j: Span
    tester: Tester
    cable_mohm: Span
    across: tuple[Part, ...]
    not_seen: tuple[Part, ...]
    lit: tuple[int, ...]
    reasons: tuple[str, ...]

    @property
    def uncertain(self) -> bool:
        """Whether the outcome depends on more than the values: see ``reasons``."""
        return bool(self.reasons)

    @property
    def limited(self) -> bool:
        """Whether, typically, the current limit keeps the voltage below nominal."""
        return self.terminal_v.typical < self.tester.nominal_v

    @property
    def may_be_limited(self) -> bool:
        """Whether the current limit could keep the voltage below nominal."""
        return self.terminal_v.low < self.tester.nominal_v

    @property
    def text(self) -> str:
        """The range as the instrument would show it, in MΩ: ``0.24 to 0.27``, ``>200``."""
        low, high = self.tester.display(self.mohm.low), self.tester.display(self.mohm.high)
        return low if low == high else f"{low} to {high}"

    @property
    def voltage_text(self) -> str:
        """At what voltage the reading is taken, in a sentence."""
        nominal = f"{self.tester.nominal_v:g} V"
        if not self.may_be_limited:
            return f"Taken at {nominal}."
        limit = engineering(self.tester.current_limit_a, "A")
        reached = span_text(self.terminal_v, lambda v: f"{significant(v)} V")
        if self.limited:
            return f"Taken at {reached}, not at {nominal}: the tester is held at its limit of {limit}."
        return f"Taken at {reached}: below {nominal} the tester is held at its limit of {limit}."

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Every value that was not recorded but filled in, with where it comes from."""
        limit = engineering(self.tester.current_limit_a, "A")
        cable = span_text(self.cable_mohm, lambda mohm: ohms(mohm * 1e6))
        return (
            f"tester: holds {self.tester.nominal_v:g} V up to {limit}",
            f"cable insulation: {cable}, typically {ohms(self.cable_mohm.typical * 1e6)}",
            *(f"{part.title}: {note}" for part in self.across for note in part.notes),
        )

    @property
    def working(self) -> tuple[str, ...]:
        """The typical value step by step, to follow with a calculator."""
        return tuple(_working(self))


def expected_reading(
    cable_mohm: Span,
    parts: Sequence[Part],
    tester: Tester,
    between: Between = Between.LINE_NEUTRAL,
    *,
    switches_closed: bool = True,
) -> ExpectedReading:
    """What the tester should show with ``parts`` left connected on a cable of insulation ``cable_mohm`` [MΩ].

    ``switches_closed``: whether loads behind a switch are in circuit during the test.

    >>> from remedies.physics.register_entry import RegisterEntry, from_register
    >>> neon = from_register(RegisterEntry("neon", resistance_ohm=220_000))
    >>> expected_reading(Span.exact(1000), [neon], Tester(250, 0.015)).text
    '0.27 to 0.34'
    """
    across, round_about, not_seen = sort_by_sight(parts, between, switches_closed)
    reasons = [_WHY_UNSTEADY[part.kind] for part in across if part.kind in _WHY_UNSTEADY]
    low_cable, in_low_corner = cable_mohm.low, across
    if round_about:
        low_cable /= 2  # through that load the insulation of a third conductor joins in, taken as equal
    if closes_a_path(round_about, between):
        in_low_corner = [*across, *round_about]  # taken as straight across: lower than any series of them
        reasons.append(_WHY_SERIES)

    low = corner(low_cable, in_low_corner, LOW)
    typical = corner(cable_mohm.typical, across, TYPICAL)
    high = corner(cable_mohm.high, across, HIGH)
    low_v, low_mohm = settled(low, low.lamp_counts, tester)
    high_v, high_mohm = settled(high, high.lamp_counts, tester)
    lit = typical.lamp_counts
    if lit:
        lit = strike_one_by_one(typical, tester)
        cap_v, cap_mohm, doubt = if_not_struck(low, high, low_v, tester)
        high_v, high_mohm = max(high_v, cap_v), max(high_mohm, cap_mohm)
        if doubt:
            reasons.append(_WHY_NEON)
    typical_v, typical_mohm = settled(typical, lit, tester)

    # The ends bound the typical case by reasoning; the clamps only take out rounding in the last digit.
    mohm = Span(low_mohm, min(max(typical_mohm, low_mohm), high_mohm), high_mohm)
    terminal_v = Span(low_v, min(max(typical_v, low_v), high_v), high_v)
    settle_s, discharge_s, stored_j = charge_of(across, cable_mohm, mohm, terminal_v, tester)
    return ExpectedReading(
        mohm=mohm,
        terminal_v=terminal_v,
        settle_s=settle_s,
        discharge_s=discharge_s,
        stored_j=stored_j,
        tester=tester,
        cable_mohm=cable_mohm,
        across=tuple(across),
        not_seen=tuple(not_seen),
        lit=lit,
        reasons=tuple(dict.fromkeys(reasons)),
    )


def expected_readings(
    cable_mohm: Span,
    parts: Sequence[Part],
    tester: Tester,
    between: Between = Between.LINE_NEUTRAL,
    *,
    switches_closed: bool = True,
    voltages: Iterable[float] = USUAL_TEST_V,
) -> dict[float, ExpectedReading]:
    """The expected reading at each test voltage [V], 250, 500 and 1000 unless told otherwise."""
    return {
        volts: expected_reading(cable_mohm, parts, tester.at(volts), between, switches_closed=switches_closed)
        for volts in voltages
    }


def _working(expected: ExpectedReading) -> Iterator[str]:
    tester, volts = expected.tester, expected.terminal_v.typical
    nominal, limit = tester.nominal_v, tester.current_limit_a
    if expected.limited:
        wanted, held = engineering(sum(_typical_currents(expected, nominal)), "A"), engineering(limit, "A")
        yield (
            f"At {nominal:g} V the current would be {wanted}, more than the tester’s {held}; "
            f"the voltage falls until it is {held}: {significant(volts, 4)} V"
        )
    cable = ohms(expected.cable_mohm.typical * 1e6)
    amps = _typical_currents(expected, volts)
    at = f"{significant(volts, 4)} V"
    yield f"Cable insulation: {at} ÷ {cable} = {engineering(amps[0], 'A')}"
    lit = iter(expected.lit)
    for part, current in zip(expected.across, amps[1:], strict=True):
        yield f"{describe(part)}: {_law_text(part, at, volts, lit)} = {engineering(current, 'A')}"
    total = math.fsum(amps)
    yield (
        f"Reading: {at} ÷ {engineering(total, 'A', 4)} = {significant(expected.mohm.typical, 4)} MΩ; "
        f"the instrument shows {tester.display(expected.mohm.typical)}"
    )
    yield f"With every value at the ends of its range: {expected.text} MΩ"
    if expected.stored_j.high:
        yield f"Time to settle: {span_text(expected.settle_s, duration)}"
        yield (
            f"Stored energy up to {engineering(expected.stored_j.high, 'J', 2)}; by itself below "
            f"{SAFE_TO_TOUCH_V:g} V after {span_text(expected.discharge_s, duration)}: "
            "discharge it with the tester, and prove it, before touching"
        )


def _typical_currents(expected: ExpectedReading, volts: float) -> list[float]:
    """Current of the cable, then of each part across the tester, at a voltage."""
    amps = [volts / (expected.cable_mohm.typical * 1e6)]
    lit = iter(expected.lit)
    for part in expected.across:
        passing = next(lit) if part.path and part.path.strike_v else part.count
        amps.append(_typical_current(part, passing, volts))
    return amps


def _typical_current(part: Part, passing: int, volts: float) -> float:
    amps = 0.0
    if path := part.path:
        amps += passing * max(0.0, volts - path.threshold_v.typical) / path.resistance_ohm.typical
    if law := part.varistor:
        amps += 1e-3 * passing * (volts / law.volts_at_1ma.typical) ** law.exponent.typical
    return amps


def _law_text(part: Part, at: str, volts: float, lit: Iterator[int]) -> str:
    if law := part.varistor:
        times = f"{part.count} × " if part.count > 1 else ""
        return f"{times}1 mA × ({at} ÷ {law.volts_at_1ma.typical:g} V)^{law.exponent.typical:g}"
    path = part.path
    if path is None:
        return "charged, passes no direct current"
    passing = next(lit) if isinstance(part, Neon) else part.count
    if not passing or volts <= path.threshold_v.typical:
        return "dark, passes nothing" if isinstance(part, Neon) else "below its threshold, passes nothing"
    return _line_text(path, at, passing)


def _line_text(path: Path, at: str, passing: int) -> str:
    times = f"{passing} × " if passing > 1 else ""
    resistance = ohms(path.resistance_ohm.typical)
    if path.threshold_v.typical:
        return f"{times}({at} − {path.threshold_v.typical:g} V) ÷ {resistance}"
    return f"{times}{at} ÷ {resistance}"
