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
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import ClassVar

from remedies.physics.parts import (
    ELECTRONIC,
    Connection,
    Electronics,
    Kind,
    Neon,
    Part,
    Path,
    Varistor,
    describe,
)
from remedies.physics.quantity import Span, duration, engineering, ohms, significant, span_text

USUAL_TEST_V = (250.0, 500.0, 1000.0)
LEAST_LIMIT_A, MOST_LIMIT_A = (
    0.001,
    0.015,
)  # IEC 61557-2: at least 1 mA at rated voltage, at most 15 mA shorted
SAFE_TO_TOUCH_V = 60.0  # d.c.; IEC 62368-1 and IEC 60204-1 ask for 60 V or less after disconnection
SETTLED = 0.01  # a reading held down by the current limit counts as settled within 1 % of its end

# Sound insulation: from the 2 MΩ below which guidance (IET Guidance Note 3) asks for a closer look, to far
# beyond the range of a tester. The typical value is an assumption.
SOUND_CABLE_MOHM = Span(2.0, 200.0, 10_000.0)


class Between(StrEnum):
    """Where the tester's two leads are."""

    LINE_NEUTRAL = "L-N"
    LIVES_JOINED_EARTH = "L+N to E"
    LINE_EARTH = "L-E"
    NEUTRAL_EARTH = "N-E"
    LINE_LINE = "L-L"


@dataclass(frozen=True, slots=True)
class Tester:
    """An insulation tester: nominal d.c. voltage [V], current limit [A], top of its range and step [MΩ].

    The current limit is a setting of the instrument; 1 mA is the least IEC 61557-2 allows and the assumption
    where it is not known. Raises ValueError for a limit outside 1 mA to 15 mA.
    """

    __test__: ClassVar[bool] = False  # no test case, whatever its name begins with

    nominal_v: float = 500.0
    current_limit_a: float = LEAST_LIMIT_A
    range_top_mohm: float = 200.0
    resolution_mohm: float = 0.01

    def __post_init__(self) -> None:
        if not LEAST_LIMIT_A <= self.current_limit_a <= MOST_LIMIT_A:
            given = engineering(self.current_limit_a, "A")
            raise ValueError(f"An insulation tester's current limit is 1 mA to 15 mA; got {given}.")
        if min(self.nominal_v, self.range_top_mohm, self.resolution_mohm) <= 0:
            raise ValueError("An insulation tester's voltage, range and resolution are above zero.")

    def at(self, nominal_v: float) -> "Tester":
        """The same instrument set to another voltage."""
        return replace(self, nominal_v=nominal_v)

    def display(self, mohm: float) -> str:
        """A value as the instrument shows it, in MΩ.

        >>> Tester().display(0.2558), Tester().display(512)
        ('0.26', '>200')
        """
        if mohm > self.range_top_mohm:
            return f">{self.range_top_mohm:g}"
        places = max(0, -math.floor(math.log10(self.resolution_mohm) + 1e-9))
        return f"{round(mohm / self.resolution_mohm) * self.resolution_mohm:.{places}f}"


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

    >>> from remedies.physics.parts import RegisterEntry, from_register
    >>> neon = from_register(RegisterEntry("neon", resistance_ohm=220_000))
    >>> expected_reading(Span.exact(1000), [neon], Tester(250, 0.015)).text
    '0.27 to 0.34'
    """
    across, round_about, not_seen = _sort_by_sight(parts, between, switches_closed)
    reasons = [_WHY_UNSTEADY[part.kind] for part in across if part.kind in _WHY_UNSTEADY]
    low_cable, in_low_corner = cable_mohm.low, across
    if round_about:
        low_cable /= 2  # through that load the insulation of a third conductor joins in, taken as equal
    if _closes_a_path(round_about, between):
        in_low_corner = [*across, *round_about]  # taken as straight across: lower than any series of them
        reasons.append(_WHY_SERIES)

    low = _corner(low_cable, in_low_corner, _LOW)
    typical = _corner(cable_mohm.typical, across, _TYPICAL)
    high = _corner(cable_mohm.high, across, _HIGH)
    low_v, low_mohm = _settled(low, low.lamp_counts, tester)
    high_v, high_mohm = _settled(high, high.lamp_counts, tester)
    lit = typical.lamp_counts
    if lit:
        lit = _strike_one_by_one(typical, tester)
        cap_v, cap_mohm, doubt = _if_not_struck(low, high, low_v, tester)
        high_v, high_mohm = max(high_v, cap_v), max(high_mohm, cap_mohm)
        if doubt:
            reasons.append(_WHY_NEON)
    typical_v, typical_mohm = _settled(typical, lit, tester)

    # The ends bound the typical case by reasoning; the clamps only take out rounding in the last digit.
    mohm = Span(low_mohm, min(max(typical_mohm, low_mohm), high_mohm), high_mohm)
    terminal_v = Span(low_v, min(max(typical_v, low_v), high_v), high_v)
    settle_s, discharge_s, stored_j = _charge(across, cable_mohm, mohm, terminal_v, tester)
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


def current_at(parts: Iterable[Part], volts: float) -> Span:
    """Direct current [A] the parts take together at a voltage held there, once settled: least, typical, most.

    A neon that may be dark at that voltage counts as dark for the least and as lit for the most.
    """
    total = _NONE
    for part in parts:
        least = typical = most = 0.0
        if path := part.path:
            ohm, threshold = path.resistance_ohm, path.threshold_v
            strike = path.strike_v or threshold
            least += max(0.0, volts - threshold.high) / ohm.high if volts >= strike.high else 0.0
            typical += max(0.0, volts - threshold.typical) / ohm.typical if volts >= strike.typical else 0.0
            most += max(0.0, volts - threshold.low) / ohm.low
        if part.varistor and volts > 0:
            least += _law(part.varistor, _HIGH).current_and_slope(volts)[0]
            typical += _law(part.varistor, _TYPICAL).current_and_slope(volts)[0]
            most += _law(part.varistor, _LOW).current_and_slope(volts)[0]
        total = total + Span(least, typical, most).times(part.count)
    return total


# --- which loads the test sees ------------------------------------------------------------------------------


class _Sight(StrEnum):
    ACROSS = "across"
    ROUND_ABOUT = "round about"  # only by way of a third conductor
    NOT = "not"


_SIGHT: dict[Between, dict[Connection, _Sight]] = {
    Between.LINE_NEUTRAL: {
        Connection.LINE_NEUTRAL: _Sight.ACROSS,
        Connection.LINE_EARTH: _Sight.ROUND_ABOUT,
        Connection.NEUTRAL_EARTH: _Sight.ROUND_ABOUT,
    },
    Between.LIVES_JOINED_EARTH: {
        Connection.LINE_EARTH: _Sight.ACROSS,
        Connection.NEUTRAL_EARTH: _Sight.ACROSS,
    },
    Between.LINE_EARTH: {
        Connection.LINE_EARTH: _Sight.ACROSS,
        Connection.LINE_NEUTRAL: _Sight.ROUND_ABOUT,
        Connection.NEUTRAL_EARTH: _Sight.ROUND_ABOUT,
    },
    Between.NEUTRAL_EARTH: {
        Connection.NEUTRAL_EARTH: _Sight.ACROSS,
        Connection.LINE_NEUTRAL: _Sight.ROUND_ABOUT,
        Connection.LINE_EARTH: _Sight.ROUND_ABOUT,
    },
    Between.LINE_LINE: {
        Connection.LINE_LINE: _Sight.ACROSS,
        Connection.LINE_NEUTRAL: _Sight.ROUND_ABOUT,
        Connection.LINE_EARTH: _Sight.ROUND_ABOUT,
        Connection.NEUTRAL_EARTH: _Sight.ROUND_ABOUT,
    },
}


def is_across(connection: Connection, between: Between, *, switches_closed: bool = True) -> bool:
    """Whether a load so connected stands straight across the tester."""
    return _sight(connection, between, switches_closed) is _Sight.ACROSS


def _sight(connection: Connection, between: Between, switches_closed: bool) -> _Sight:
    if connection is Connection.SWITCHED_LINE_NEUTRAL and not switches_closed:
        return _Sight.NOT
    return _SIGHT[between].get(_unswitched(connection), _Sight.NOT)


def _unswitched(connection: Connection) -> Connection:
    switched = connection is Connection.SWITCHED_LINE_NEUTRAL
    return Connection.LINE_NEUTRAL if switched else connection


def _sort_by_sight(
    parts: Sequence[Part], between: Between, switches_closed: bool
) -> tuple[list[Part], list[Part], list[Part]]:
    across: list[Part] = []
    round_about: list[Part] = []
    not_seen: list[Part] = []
    for part in parts:
        sight = _sight(part.connection, between, switches_closed)
        if sight is _Sight.ACROSS:
            across.append(part)
            continue
        not_seen.append(part)
        # A capacitor passes nothing once charged, so it opens no way round.
        if sight is _Sight.ROUND_ABOUT and (part.path or part.varistor):
            round_about.append(part)
    return across, round_about, not_seen


def _closes_a_path(round_about: Sequence[Part], between: Between) -> bool:
    """Two loads by way of a third conductor can stand in series across the tester; one alone cannot."""
    if between is Between.LINE_LINE:  # on which lines the loads are, the register cannot tell
        return sum(part.count for part in round_about) > 1
    return len({_unswitched(part.connection) for part in round_about}) > 1


_WHY_SERIES = "Loads to a third conductor may stand in series across the tester."
_WHY_NEON = (
    "Whether a neon lights depends on how the voltage is raised: it ends between the neon's maintaining and "
    "striking voltages, or the current limit lets the lamps light only in part."
)
_WHY_UNSTEADY = {
    **dict.fromkeys(
        ELECTRONIC,
        "Electronics may start up or change while tested; the range is that of the settled circuit.",
    ),
    Kind.UNKNOWN: "A load of unknown kind may read anything.",
}


# --- direct current -----------------------------------------------------------------------------------------

_LOW, _TYPICAL, _HIGH = range(3)  # which end of every value: the low end passes most current


@dataclass(slots=True)
class _Corner:
    """Everything across the tester with one choice of every value, in volts and siemens."""

    siemens: float
    rectifiers: list[tuple[float, float]]  # (threshold V, S)
    lamps: list["_Lamp"]
    varistors: list["_Law"]
    lamp_counts: tuple[int, ...]


@dataclass(slots=True)
class _Lamp:
    maintain_v: float
    siemens: float  # of one
    strike_v: Span
    count: int

    @property
    def order(self) -> tuple[float, float, float]:
        """The lowest strikes first; among equals the order in the register must not matter."""
        return self.strike_v.typical, self.maintain_v, self.siemens


@dataclass(slots=True)
class _Law:
    volts_at_1ma: float
    exponent_below: float
    exponent_above: float
    count: int

    def current_and_slope(self, volts: float) -> tuple[float, float]:
        exponent = self.exponent_below if volts < self.volts_at_1ma else self.exponent_above
        amps = 1e-3 * self.count * (volts / self.volts_at_1ma) ** exponent
        return amps, exponent * amps / volts

    def volts_at(self, amps: float) -> float:
        share = amps / (1e-3 * self.count)
        exponent = self.exponent_below if share < 1 else self.exponent_above
        return float(self.volts_at_1ma * share ** (1 / exponent))


def _pick(span: Span, end: int) -> float:
    return span.low if end == _LOW else span.high if end == _HIGH else span.typical


def _law(varistor: Varistor, end: int, count: int = 1) -> _Law:
    # Below 1 mA a low exponent passes more current, above 1 mA a high one.
    below, above = _pick(varistor.exponent, end), _pick(varistor.exponent, 2 - end)
    return _Law(_pick(varistor.volts_at_1ma, end), below, above, count)


def _corner(cable_mohm: float, parts: Sequence[Part], end: int) -> _Corner:
    siemens = 1e-6 / cable_mohm
    rectifiers: list[tuple[float, float]] = []
    lamps: list[_Lamp] = []
    laws: list[_Law] = []
    for part in parts:
        if path := part.path:
            each = 1 / _pick(path.resistance_ohm, end)
            threshold = _pick(path.threshold_v, end)
            if path.strike_v:
                lamps.append(_Lamp(threshold, each, path.strike_v, part.count))
            elif threshold:
                rectifiers.append((threshold, each * part.count))
            else:
                siemens += each * part.count
        if varistor := part.varistor:
            laws.append(_law(varistor, end, part.count))
    return _Corner(siemens, rectifiers, lamps, laws, tuple(lamp.count for lamp in lamps))


def _settled(corner: _Corner, lit: Sequence[int], tester: Tester) -> tuple[float, float]:
    """Terminal voltage [V] and reading [MΩ] with so many of each lamp lit."""
    thresholds = corner.rectifiers
    if lit:
        lamps = zip(corner.lamps, lit, strict=True)
        thresholds = thresholds + [(lamp.maintain_v, lamp.siemens * n) for lamp, n in lamps if n]
    volts, limit = tester.nominal_v, tester.current_limit_a
    amps = _current(corner, thresholds, volts)
    if amps > limit:
        volts, amps = _limited_voltage(corner, thresholds, tester), limit
    return volts, volts / amps * 1e-6 if amps else math.inf


def _current(corner: _Corner, thresholds: Sequence[tuple[float, float]], volts: float) -> float:
    amps = corner.siemens * volts
    for threshold, siemens in thresholds:
        if volts > threshold:
            amps += (volts - threshold) * siemens
    for law in corner.varistors:
        amps += law.current_and_slope(volts)[0]
    return amps


def _limited_voltage(corner: _Corner, thresholds: Sequence[tuple[float, float]], tester: Tester) -> float:
    """The voltage at which the current is the limit. Straight lines have a closed form; varistors do not."""
    limit, active = tester.current_limit_a, list(thresholds)
    while True:
        siemens = corner.siemens + sum(s for _, s in active)
        volts = (limit + sum(v * s for v, s in active)) / siemens if siemens else math.inf
        still = [line for line in active if line[0] < volts]
        if len(still) == len(active):
            break
        active = still
    if not corner.varistors:
        return volts
    highest = min(volts, tester.nominal_v, *(law.volts_at(limit) for law in corner.varistors))
    return _crossing(corner, thresholds, limit, highest)


def _crossing(
    corner: _Corner, thresholds: Sequence[tuple[float, float]], limit: float, highest: float
) -> float:
    """Where the rising current meets the limit, between zero and ``highest``: Newton's steps inside a bracket
    that bisection takes over whenever a step would leave it."""
    low, high, volts = 0.0, highest, highest
    while high - low > 1e-9 * highest:
        excess, slope = -limit + corner.siemens * volts, corner.siemens
        for threshold, siemens in thresholds:
            if volts > threshold:
                excess += (volts - threshold) * siemens
                slope += siemens
        for law in corner.varistors:
            amps, steepness = law.current_and_slope(volts)
            excess += amps
            slope += steepness
        if excess > 0:
            high = volts
        else:
            low = volts
        step = excess / slope
        if abs(step) < 1e-9 * highest:
            return volts
        volts -= step
        if not low < volts < high:
            volts = (low + high) / 2
    return volts


# --- neons --------------------------------------------------------------------------------------------------


def _strike_one_by_one(corner: _Corner, tester: Tester) -> tuple[int, ...]:
    """How many of each lamp are lit when the voltage is raised from zero: the lowest strikes first, and the
    terminals are settled anew before the next."""
    lit = [0] * len(corner.lamps)
    for index in sorted(range(len(lit)), key=lambda i: corner.lamps[i].order):
        lamp = corner.lamps[index]
        while lit[index] < lamp.count:
            volts, _ = _settled(corner, lit, tester)
            if volts < lamp.strike_v.typical:
                return tuple(lit)
            lit[index] += 1
    return tuple(lit)


def _if_not_struck(low: _Corner, high: _Corner, low_v: float, tester: Tester) -> tuple[float, float, bool]:
    """The highest voltage and reading with a neon still dark, and whether that leaves the outcome in doubt.

    A neon is sure to light when, with every other one lit and every value at the end that passes most
    current, the terminals still reach the highest voltage at which it may strike.
    """
    if low_v >= tester.nominal_v and all(lamp.strike_v.high <= low_v for lamp in low.lamps):
        return 0.0, 0.0, False
    unsure = []
    for index, lamp in enumerate(high.lamps):
        others = list(low.lamp_counts)
        others[index] -= 1
        if _settled(low, others, tester)[0] < lamp.strike_v.high:
            unsure.append(index)
    if not unsure:
        return 0.0, 0.0, False
    sure = [0 if index in unsure else count for index, count in enumerate(high.lamp_counts)]
    dark_v, dark_mohm = _settled(high, sure, tester)
    doubt = any(dark_v > low.lamps[index].maintain_v for index in unsure)
    highest_strike_v = max(high.lamps[index].strike_v.high for index in unsure)
    if dark_v > highest_strike_v:
        # Dark only below its striking voltage, and below nominal only with the tester at its limit.
        dark_v, dark_mohm = highest_strike_v, highest_strike_v / tester.current_limit_a * 1e-6
    return dark_v, dark_mohm, doubt


# --- charge -------------------------------------------------------------------------------------------------


def time_to_charge(capacitance_f: float, resistance_ohm: float, tester: Tester) -> float:
    """Seconds until a capacitor with a resistance across it is at the nominal voltage or, where the current
    limit keeps it lower, within 1 % of the voltage it ends at.

    t = −R·C·ln(1 − Un / (I·R)); without a resistance t = C·Un / I.

    >>> round(time_to_charge(0.1e-6, math.inf, Tester(500)), 4)
    0.05
    """
    least = tester.nominal_v / tester.current_limit_a
    if math.isinf(resistance_ohm):
        return capacitance_f * least
    share = min(least / resistance_ohm, 1 - SETTLED)
    return -resistance_ohm * capacitance_f * math.log1p(-share)


def time_to_discharge(
    capacitance_f: float, resistance_ohm: float, volts: float, down_to_v: float = SAFE_TO_TOUCH_V
) -> float:
    """Seconds for a capacitor to fall from ``volts`` to ``down_to_v`` through a resistance: R·C·ln(V/V₂)."""
    if volts <= down_to_v or not capacitance_f:
        return 0.0
    return resistance_ohm * capacitance_f * math.log(volts / down_to_v)


_NONE = Span(0.0, 0.0, 0.0)


def _charge(
    across: Sequence[Part], cable_mohm: Span, mohm: Span, terminal_v: Span, tester: Tester
) -> tuple[Span, Span, Span]:
    """Time to settle, time to discharge and stored energy."""
    charging = [(part, farads) for part in across if (farads := part.charging_f)]
    if not charging:
        return _NONE, _NONE, _NONE
    total = _sum_of(farads.times(part.count) for part, farads in charging)
    settle_s = _settle_span(total, mohm, tester)
    stored_j = Span(
        0.5 * total.low * terminal_v.low**2,
        0.5 * total.typical * terminal_v.typical**2,
        0.5 * total.high * terminal_v.high**2,
    )
    return settle_s, _discharge(across, cable_mohm, terminal_v), stored_j


def _sum_of(spans: Iterable[Span]) -> Span:
    total = _NONE
    for span in spans:
        total = total + span
    return total


def _settle_span(farads: Span, mohm: Span, tester: Tester) -> Span:
    """Charging is slowest where the loads leave the tester hardly any current to charge with."""
    low, high = mohm.low * 1e6, mohm.high * 1e6
    slowest = min(max(tester.nominal_v / tester.current_limit_a / (1 - SETTLED), low), high)
    return Span(
        min(time_to_charge(farads.low, low, tester), time_to_charge(farads.low, high, tester)),
        time_to_charge(farads.typical, mohm.typical * 1e6, tester),
        time_to_charge(farads.high, slowest, tester),
    )


def _discharge(across: Sequence[Part], cable_mohm: Span, terminal_v: Span) -> Span:
    """Until all that was charged is below a safe voltage by itself.

    Capacitors at the terminals empty through every plain resistance there and the cable; neons go dark too
    early to help. A capacitor behind a rectifier empties through its own bleeder alone, and until it has,
    those at the terminals may feed it: then they all share that bleeder, and none is slower.
    """
    plain = [
        (part.count, path.resistance_ohm) for part in across if (path := part.path) and path.strike_v is None
    ]
    electronics = [part for part in across if isinstance(part, Electronics)]
    outside = _sum_of(
        farads.times(part.count)
        for part in across
        if (farads := part.charging_f) and not isinstance(part, Electronics)
    )

    def seconds(end: int) -> float:
        volts, farads = _pick(terminal_v, end), _pick(outside, end)
        if electronics:
            return max(
                time_to_discharge(_pick(part.reservoir_f, end) + farads, _pick(part.bleed_ohm, end), volts)
                for part in electronics
            )
        siemens = 1e-6 / _pick(cable_mohm, end) + sum(n / _pick(ohm, end) for n, ohm in plain)
        return time_to_discharge(farads, 1 / siemens if siemens else math.inf, volts)

    return Span(seconds(_LOW), seconds(_TYPICAL), seconds(_HIGH))


# --- the working --------------------------------------------------------------------------------------------


def _working(expected: ExpectedReading) -> Iterator[str]:
    tester, volts = expected.tester, expected.terminal_v.typical
    nominal, limit = tester.nominal_v, tester.current_limit_a
    if expected.limited:
        wanted, held = engineering(sum(_typical_currents(expected, nominal)), "A"), engineering(limit, "A")
        yield (
            f"At {nominal:g} V the current would be {wanted}, more than the tester's {held}; "
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
