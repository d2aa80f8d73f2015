"""Where rows of the register become inputs of the physics, and results come back, rounded once.

Decimal to float and the trade's units to those of the physics happen here and nowhere else. Any value may be
missing: the physics then fills in what is usual, and says so in its notes.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal

from inspections.enums import TESTS_INSULATION
from inspections.models import CircuitResult, Inspection, Instrument
from inspections.rules.readings import Reading
from remedies.enums import Connection, LoadKind
from remedies.models import ParallelLoad
from remedies.physics import damage, insulation_test, parts
from remedies.physics.explain import explain
from remedies.physics.explanation import Explanation, Verdict
from remedies.physics.measured import Measured, Settling
from remedies.physics.quantity import Span, duration, span_text
from remedies.physics.register_entry import RegisterEntry, from_register
from remedies.physics.tester import MOST_LIMIT_A, Between, Tester

_KINDS = {
    LoadKind.CAPACITOR: parts.Kind.SUPPRESSION_CAPACITOR,
    LoadKind.RC_NETWORK: parts.Kind.RC_NETWORK,
    LoadKind.NEON: parts.Kind.NEON,
    LoadKind.INDICATOR: parts.Kind.ACCESSORY_NEON,
    LoadKind.RESISTOR: parts.Kind.RESISTOR,
    LoadKind.LOAD_MODULE: parts.Kind.LOAD_MODULE,
    LoadKind.TRANSFORMER: parts.Kind.WOUND_TRANSFORMER,
    LoadKind.DRIVER: parts.Kind.DRIVER,
    LoadKind.DIMMER: parts.Kind.DIMMER,
    LoadKind.TIMER: parts.Kind.TIMER,
    LoadKind.SENSOR: parts.Kind.SENSOR,
    LoadKind.SURGE: parts.Kind.SURGE_PROTECTION,
    LoadKind.EQUIPMENT: parts.Kind.FIXED_EQUIPMENT,
    LoadKind.UNKNOWN: parts.Kind.UNKNOWN,
}
_CONNECTIONS = {
    Connection.L_N: parts.Connection.LINE_NEUTRAL,
    Connection.SWITCHED_L_N: parts.Connection.SWITCHED_LINE_NEUTRAL,
    Connection.L_E: parts.Connection.LINE_EARTH,
    Connection.N_E: parts.Connection.NEUTRAL_EARTH,
    Connection.L_L: parts.Connection.LINE_LINE,
}
# What the register's rated voltage and power are to each kind; elsewhere they are an a.c. rating, and watts.
_RATED_V = {
    LoadKind.RESISTOR: "working_v",
    LoadKind.NEON: "working_v",
    LoadKind.INDICATOR: "working_v",
    LoadKind.SURGE: "continuous_v",
}
_RATED_W = {LoadKind.TRANSFORMER: "rated_va"}
# The test that a load stands straight across; line to neutral unless said otherwise.
_SEEN_BETWEEN = {
    parts.Connection.LINE_LINE: Between.LINE_LINE,
    parts.Connection.LINE_EARTH: Between.LIVES_JOINED_EARTH,
    parts.Connection.NEUTRAL_EARTH: Between.LIVES_JOINED_EARTH,
}
DEFAULT_TEST_V = 500
_RESOLUTION = Decimal("0.01")  # MΩ, the step of a usual instrument on its lowest range


def _number(value: Decimal | int | None) -> float | None:
    return None if value is None else float(value)


def part(load: ParallelLoad) -> parts.Part:
    """A register entry as the physics knows it."""
    ratings = {
        _RATED_V.get(load.kind, "rated_v"): _number(load.rated_voltage_v),
        _RATED_W.get(load.kind, "rated_w"): _number(load.rated_power_w),
    }
    percent = _number(load.tolerance_percent)
    return from_register(
        RegisterEntry(
            kind=_KINDS[load.kind],
            connection=_CONNECTIONS[load.connection],
            count=load.count,
            name=f"{_KINDS[load.kind].label} ({load.place})",
            resistance_ohm=_number(load.resistance_ohm),
            capacitance_uf=_number(load.capacitance_uf),
            discharge_ohm=_number(load.discharge_resistor_ohm),
            in_series=load.resistors_in_series,
            capacitor_class=load.capacitor_class,
            tolerance=percent / 100 if percent else None,
            **ratings,
        )
    )


def holds_charge(load: ParallelLoad) -> bool:
    """Whether it has a capacitor that an insulation test leaves charged."""
    return part(load).charging_f is not None


def passes_current(load: ParallelLoad) -> bool:
    """Whether an insulation test may read it once settled: anything but an open capacitor."""
    one = part(load)
    return one.path is not None or one.varistor is not None


def insulation_tester(instrument: Instrument | None, volts: int = DEFAULT_TEST_V) -> Tester:
    """The insulation tester an instrument is; what is not known of it is taken as usual."""
    known: dict[str, float] = {}
    if instrument and instrument.insulation_current_ma is not None:
        known["current_limit_a"] = float(instrument.insulation_current_ma) / 1000
    if instrument and instrument.insulation_range_top_mohm is not None:
        known["range_top_mohm"] = float(instrument.insulation_range_top_mohm)
    return Tester(nominal_v=float(volts), **known)


def insulation_tester_of(inspection: Inspection | None) -> Instrument | None:
    """The instrument of a visit that tests insulation: the first whose range is recorded, else the first."""
    if inspection is None:
        return None
    able = [i for i in inspection.instruments.all() if i.measures in TESTS_INSULATION]
    known = [i for i in able if i.insulation_range_top_mohm or i.insulation_current_ma]
    return next(iter(known or able), None)


@dataclass(frozen=True)
class Expected:
    """What an insulation tester should show with loads left in, on sound cable.

    text: the range as the instrument shows it, in MΩ. low_mohm, high_mohm: its ends; high is None where there
    is no upper end. voltage_text: the voltage it is taken at. reading: what the physics says of it, with the
    working, which is written out only when it is asked for. tester_text: how the tester is taken, where that
    is not as ``reading`` has it.
    """

    volts: int
    text: str
    low_mohm: Decimal
    high_mohm: Decimal | None
    voltage_text: str
    reading: insulation_test.ExpectedReading
    tester_text: str = ""

    @property
    def charges(self) -> bool:
        """Whether a capacitor stays charged after the test."""
        return self.reading.stored_j.high > 0

    @property
    def settle_text(self) -> str:
        return _seconds(self.reading.settle_s)

    @property
    def discharge_text(self) -> str:
        return _seconds(self.reading.discharge_s)

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why it is uncertain; empty when it is not."""
        return self.reading.reasons

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What was not recorded and is taken as usual."""
        tester, *rest = self.reading.assumptions
        return (self.tester_text or tester, *rest)

    @property
    def working(self) -> tuple[str, ...]:
        """The typical case, step by step."""
        return self.reading.working


def expected_reading_for(
    loads: Iterable[ParallelLoad],
    volts: int = DEFAULT_TEST_V,
    instrument: Instrument | None = None,
    *,
    to_earth: bool = False,
) -> Expected:
    """The expected reading with ``loads`` left in, at a test voltage [V], with an instrument: live-live, or
    with ``to_earth`` of the live conductors joined, to earth.

    Where the current limit of the instrument is not recorded, the range covers all that IEC 61557-2 allows.
    """
    across = [part(load) for load in loads]
    using = insulation_tester(instrument, volts)
    between = Between.LIVES_JOINED_EARTH if to_earth else _lowest_pair(across, using)
    weakest = _expected(across, using, between)
    if instrument and instrument.insulation_current_ma is not None:
        return _rounded(weakest, volts)
    strongest = _expected(across, replace(using, current_limit_a=MOST_LIMIT_A), between)
    return _of_any_tester(_rounded(weakest, volts), weakest, strongest)


def _of_any_tester(
    weak: Expected, weakest: insulation_test.ExpectedReading, strongest: insulation_test.ExpectedReading
) -> Expected:
    """The range from a tester that gives 1 mA to one that gives 15 mA."""
    low = min(weakest.mohm.low, strongest.mohm.low)
    high = max(weakest.mohm.high, strongest.mohm.high)
    shown = dict.fromkeys(weakest.tester.display(mohm) for mohm in (low, high))
    return replace(
        weak,
        text=" to ".join(shown),
        low_mohm=_mohm(low),
        high_mohm=None if math.isinf(high) else _mohm(high),
        voltage_text=(
            f"A tester that gives no more than 1 mA may not reach {weak.volts} V on it."
            if weakest.may_be_limited
            else weak.voltage_text
        ),
        tester_text="tester: its current limit is not recorded, taken as 1 mA to 15 mA",
    )


def _expected(
    across: Sequence[parts.Part], using: Tester, between: Between
) -> insulation_test.ExpectedReading:
    return insulation_test.expected_reading(insulation_test.SOUND_CABLE_MOHM, across, using, between)


def _lowest_pair(across: Sequence[parts.Part], using: Tester) -> Between:
    """Line to neutral, or line to line where a load stands there and that reads lower."""
    if all(one.connection is not parts.Connection.LINE_LINE for one in across):
        return Between.LINE_NEUTRAL
    return min(
        (Between.LINE_NEUTRAL, Between.LINE_LINE),
        key=lambda pair: _expected(across, using, pair).mohm.typical,
    )


def _rounded(expected: insulation_test.ExpectedReading, volts: int) -> Expected:
    return Expected(
        volts=volts,
        text=expected.text,
        low_mohm=_mohm(expected.mohm.low),
        high_mohm=None if math.isinf(expected.mohm.high) else _mohm(expected.mohm.high),
        voltage_text=expected.voltage_text,
        reading=expected,
    )


def _mohm(value: float) -> Decimal:
    return Decimal(repr(value)).quantize(_RESOLUTION, rounding=ROUND_HALF_UP)


def _seconds(span: Span) -> str:
    return span_text(span, duration) if span.high else ""


def explanation_for(
    result: CircuitResult,
    loads: Iterable[ParallelLoad],
    instrument: Instrument | None = None,
    settling: Settling = Settling.NOT_WATCHED,
    second: tuple[Reading, int] | None = None,
    settled_after_s: float | None = None,
) -> Explanation | None:
    """What the live-live reading of a result says beside ``loads``, those in circuit when it was taken.

    second: a reading of the same circuit and instrument at another voltage [V]. None where nothing was
    measured. A test voltage that was not recorded is taken as 500 V. Where the current limit of the
    instrument is not recorded, both ends of what IEC 61557-2 allows are tried: what explains the reading at
    either end explains it, and the first line says which.
    """
    first = _measured(result.ir_live_live, result.ir_voltage_v or DEFAULT_TEST_V, settling, settled_after_s)
    if first is None:
        return None
    across = [part(load) for load in loads]
    another = _measured(*second) if second else None

    def answer(using: Tester) -> Explanation:
        pair = _lowest_pair(across, using)
        told = explain(first, across, using, pair, second=another)
        if another is None or told.verdict is not Verdict.EXPLAINED:
            return told
        # The one that nothing explains is the one to be explained, whichever was taken first.
        turned = explain(another, across, using, pair, second=first)
        return told if turned.verdict is Verdict.EXPLAINED else turned

    using = insulation_tester(instrument, int(first.nominal_v))
    weak = answer(using)
    if instrument and instrument.insulation_current_ma is not None:
        return weak
    return _of_either_end(weak, answer(replace(using, current_limit_a=MOST_LIMIT_A)))


def _of_either_end(weak: Explanation, strong: Explanation) -> Explanation:
    """The answer for a tester of unknown current limit, from those for 1 mA and for 15 mA."""
    if weak.verdict is strong.verdict:
        return weak
    answers = {"1 mA": weak, "15 mA": strong}
    explains = [limit for limit, one in answers.items() if one.verdict is Verdict.EXPLAINED]
    if not explains:
        return weak
    (other,) = answers.keys() - explains
    note = (
        f"The tester’s current limit is not recorded. This holds for one that gives {explains[0]}; with one "
        f"that gives {other} the reading is {answers[other].verdict}."
    )
    told = answers[explains[0]]
    return replace(told, lines=(note, *told.lines))


def load_kind(kind: parts.Kind) -> LoadKind:
    """A kind of the physics as the register calls it."""
    return next(ours for ours, theirs in _KINDS.items() if theirs is kind)


def _measured(
    reading: Reading,
    volts: int,
    settling: Settling = Settling.NOT_WATCHED,
    settled_after_s: float | None = None,
) -> Measured | None:
    if reading.value is None or reading.relation is None or reading.resolution is None:
        return None
    return Measured(
        mohm=float(reading.value),
        relation=reading.relation.value,
        nominal_v=float(volts),
        resolution_mohm=float(reading.resolution),
        settling=settling,
        settled_after_s=settled_after_s,
    )


@dataclass(frozen=True)
class Ruling:
    """Whether a load may see a test voltage in the test that it is across: the answer and why.

    must_come_out: it would be harmed, or is not known well enough; ``is_certain`` tells which. hides_cable:
    it passes current, so that the reading is not that of the cable.
    """

    load: ParallelLoad
    must_come_out: bool
    is_certain: bool
    hides_cable: bool
    reason: str
    source: str

    @property
    def words(self) -> str:
        """What to do with it, in a few words."""
        if self.must_come_out and self.is_certain:
            return "Disconnect first."
        if self.must_come_out:
            return "Disconnect first, or test lower: not known well enough."
        if self.hides_cable:
            return "Disconnect for a reading of the cable itself."
        return "May stay."


def rulings(
    loads: Iterable[ParallelLoad], volts: int = DEFAULT_TEST_V, instrument: Instrument | None = None
) -> list[Ruling]:
    """For each load, whether it must be disconnected before the insulation tests at ``volts`` [V]."""
    loads = list(loads)
    across = [part(load) for load in loads]
    limit = {"current_limit_a": insulation_tester(instrument, volts).current_limit_a} if instrument else {}
    answers = []
    for load, one in zip(loads, across, strict=True):
        between = _SEEN_BETWEEN.get(one.connection, Between.LINE_NEUTRAL)
        (judgement,) = damage.judge([one], float(volts), between, **limit)
        answers.append(
            Ruling(
                load=load,
                must_come_out=judgement.ruling is not damage.Ruling.MAY_STAY,
                is_certain=judgement.ruling is not damage.Ruling.CANNOT_TELL,
                hides_cable=passes_current(load),
                reason=judgement.reason,
                source=judgement.source,
            )
        )
    return answers


def must_be_disconnected(
    loads: Iterable[ParallelLoad], volts: int = DEFAULT_TEST_V, instrument: Instrument | None = None
) -> list[Ruling]:
    """The loads that must not see an insulation test at ``volts`` [V], or are not known well enough to."""
    return [ruling for ruling in rulings(loads, volts, instrument) if ruling.must_come_out]
