"""Editions of the wiring rules: the limits every check is held to, each value with its source.

An edition is one file in ``editions/``; a new edition is a new file and nothing else. Parts that a file
leaves out are None or empty here, and the checks that need them stay silent.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib.resources import files

from inspections.rules.finding import Source
from inspections.rules.rule_file import EditionError, Part, Value

FOLDER = files("inspections.rules") / "editions"


@dataclass(frozen=True, slots=True)
class InsulationRow:
    """Test voltage and least insulation resistance for circuits up to a nominal voltage (None: any above)."""

    extra_low: bool
    up_to_v: Decimal | None
    test_voltage_v: Decimal
    minimum_mohm: Decimal
    source: Source


@dataclass(frozen=True, slots=True)
class InsulationLimits:
    rows: tuple[InsulationRow, ...]
    look_into_mohm: Value | None
    connected_test_voltage_v: Value | None
    connected_minimum_mohm: Value | None
    whole_board: Source | None


@dataclass(frozen=True, slots=True)
class DisconnectionRow:
    """Longest disconnection time of final circuits for U0 up to a voltage (None: any above)."""

    up_to_v: Decimal | None
    tn_s: Decimal
    tt_s: Decimal
    source: Source


@dataclass(frozen=True, slots=True)
class LoopLimits:
    c_min: Value
    cold_factor: Value
    instantaneous_s: Value
    touch_voltage_v: Value
    unstable_above_ohm: Value | None
    disconnection_above_v: Value
    socket_rating_a: Value
    fixed_rating_a: Value
    other_tn_s: Value
    other_tt_s: Value
    disconnection: tuple[DisconnectionRow, ...]


@dataclass(frozen=True, slots=True)
class FuseTable:
    """Largest Zs in Ω by rating in A, for one disconnection time and nominal voltage to earth."""

    seconds: Decimal
    u0_v: Decimal
    ohm: Mapping[Decimal, Decimal]
    source: Source


@dataclass(frozen=True, slots=True)
class DeviceStandard:
    """A kind of protective device: how the trade writes its standard, and what trips it.

    multiples: by type, how many times its rating trips it at once; slow_multiples: the same where 5 s or more
    are allowed. unknown: why no limit can be given for it, else empty.
    """

    standard: str
    spellings: tuple[str, ...]
    multiples: Mapping[str, Decimal]
    slow_multiples: Mapping[str, Decimal]
    tables: tuple[FuseTable, ...]
    other_types: frozenset[str]
    unknown: str
    has_rcd: bool
    breaking_capacity_ka: Mapping[str, Decimal]
    rated_breaking_capacity_ka: Decimal | None
    breaking_capacity_source: Source
    source: Source


@dataclass(frozen=True, slots=True)
class TripTime:
    """Operating time of an RCD in ms at a multiple of its rated residual current; no standards means any."""

    standards: frozenset[str]
    delayed: bool
    multiple: Decimal
    min_ms: Decimal | None
    max_ms: Decimal
    source: Source


@dataclass(frozen=True, slots=True)
class RcdSuits:
    """The residual currents that a type of RCD detects."""

    type: str
    waveforms: frozenset[str]
    source: Source


@dataclass(frozen=True, slots=True)
class RcdLimits:
    times: tuple[TripTime, ...]
    suits: tuple[RcdSuits, ...]
    standing_fraction: Value | None


@dataclass(frozen=True, slots=True)
class FaultCurrentLimits:
    three_phase_factor: Value
    breaking_capacity: Source


@dataclass(frozen=True, slots=True)
class ThermalK:
    """k of a cpc in A·√s/mm², by its metal, its insulation and whether it runs in a cable."""

    conductor: str
    insulation: str
    in_cable: bool
    k: Decimal
    source: Source


@dataclass(frozen=True, slots=True)
class VoltageDropLimits:
    lighting_percent: Value
    other_percent: Value


@dataclass(frozen=True, slots=True)
class OutcomeRule:
    """Which observation codes make a report unsatisfactory, and which do not."""

    unsatisfactory: tuple[str, ...]
    satisfactory: tuple[str, ...]
    source: Source


@dataclass(frozen=True, slots=True, eq=False)
class Edition:
    """One edition of the wiring rules; ``key`` is the name of its file.

    schedule: what asks for the columns of a schedule; limitations: what asks for limitations with reasons.
    Compared by identity: load() gives the same object every time.
    """

    key: str
    title: str
    schedule: Source
    limitations: Source
    insulation: InsulationLimits
    loop: LoopLimits
    devices: tuple[DeviceStandard, ...]
    ring_line_neutral_within_ohm: Value | None
    fault_current: FaultCurrentLimits | None
    rcd: RcdLimits | None
    thermal: tuple[ThermalK, ...]
    voltage_drop: VoltageDropLimits | None
    outcome: OutcomeRule | None

    def __str__(self) -> str:
        return self.title


def available() -> tuple[str, ...]:
    """Keys of the editions there are, in alphabetical order.

    >>> "bs7671_2018_a2_2022" in available()
    True
    """
    return tuple(
        sorted(file.name.removesuffix(".toml") for file in FOLDER.iterdir() if file.name.endswith(".toml"))
    )


@cache
def load(key: str) -> Edition:
    """The edition of that key. Raises EditionError naming the editions there are, or what its file lacks.

    >>> load("bs7671_2018_a2_2022").loop.c_min.number
    Decimal('0.95')
    """
    if key not in available():
        raise EditionError(f"There is no edition “{key}”. There are: {', '.join(available())}.")
    return read(key, (FOLDER / f"{key}.toml").read_text(encoding="utf-8"))


def read(key: str, text: str) -> Edition:
    """An edition from the text of its file. Raises EditionError saying what is wrong and where."""
    try:
        content = tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise EditionError(f"{key}.toml cannot be read: {error}.") from error
    title = content.get("title")
    if not isinstance(title, str):
        raise EditionError(f"{key}.toml: title is missing.")
    top = Part(content, f"{key}.toml", title)
    return Edition(
        key,
        title,
        top.part("report").part("schedule").source(),
        top.part("report").part("limitations").source(),
        _insulation(top.part("insulation")),
        _loop(top.part("loop")),
        tuple(_device(part) for part in top.parts("device")),
        ring.value("line_neutral_within_ohm") if (ring := top.part_or_none("ring")) else None,
        _fault_current(part) if (part := top.part_or_none("fault_current")) else None,
        _rcd(part) if (part := top.part_or_none("rcd")) else None,
        _thermal(part) if (part := top.part_or_none("thermal")) else (),
        _voltage_drop(part) if (part := top.part_or_none("voltage_drop")) else None,
        _outcome(part) if (part := top.part_or_none("outcome")) else None,
    )


def _insulation(part: Part) -> InsulationLimits:
    rows = tuple(
        InsulationRow(
            row.flag("extra_low"),
            row.number_or_none("up_to_v"),
            row.number("test_voltage_v"),
            row.number("minimum_mohm"),
            row.source(),
        )
        for row in part.parts("row")
    )
    whole_board = part.part_or_none("whole_board")
    return InsulationLimits(
        rows,
        part.value_or_none("look_into_mohm"),
        part.value_or_none("connected_test_voltage_v"),
        part.value_or_none("connected_minimum_mohm"),
        whole_board.source() if whole_board else None,
    )


def _loop(part: Part) -> LoopLimits:
    disconnection = tuple(
        DisconnectionRow(
            row.number_or_none("up_to_v"),
            row.number("tn_s"),
            row.number("tt_s"),
            row.source(),
        )
        for row in part.parts("disconnection")
    )
    return LoopLimits(
        c_min=part.value("c_min"),
        cold_factor=part.value("cold_factor"),
        instantaneous_s=part.value("instantaneous_s"),
        touch_voltage_v=part.value("touch_voltage_v"),
        unstable_above_ohm=part.value_or_none("unstable_above_ohm"),
        disconnection_above_v=part.value("disconnection_above_v"),
        socket_rating_a=part.value("socket_rating_a"),
        fixed_rating_a=part.value("fixed_rating_a"),
        other_tn_s=part.value("other_tn_s"),
        other_tt_s=part.value("other_tt_s"),
        disconnection=disconnection,
    )


def _device(part: Part) -> DeviceStandard:
    tables = tuple(
        FuseTable(row.number("seconds"), row.number("u0_v"), row.by_rating("ohm"), row.source())
        for row in part.parts("max_zs")
    )
    source = part.source()
    return DeviceStandard(
        standard=part.text("standard"),
        spellings=part.texts("spellings"),
        multiples=part.by_type("multiples"),
        slow_multiples=part.by_type("slow_multiples"),
        tables=tables,
        other_types=frozenset(part.texts("other_types")),
        unknown=part.text("unknown", ""),
        has_rcd=part.flag("has_rcd"),
        breaking_capacity_ka=part.by_type("breaking_capacity_ka"),
        rated_breaking_capacity_ka=part.number_or_none("rated_breaking_capacity_ka"),
        breaking_capacity_source=Source(
            part.text("standard"), "rated breaking capacity", part.flag("breaking_capacity_from_memory")
        ),
        source=source,
    )


def _fault_current(part: Part) -> FaultCurrentLimits:
    return FaultCurrentLimits(part.value("three_phase_factor"), part.part("breaking_capacity").source())


def _rcd(part: Part) -> RcdLimits:
    times = tuple(
        TripTime(
            frozenset(row.texts("standards")),
            row.flag("delayed"),
            row.number("multiple"),
            row.number_or_none("min_ms"),
            row.number("max_ms"),
            row.source(),
        )
        for row in part.parts("time")
    )
    suits = tuple(
        RcdSuits(row.text("type"), frozenset(row.texts("waveforms")), row.source())
        for row in part.parts("suits")
    )
    return RcdLimits(times, suits, part.value_or_none("standing_fraction"))


def _thermal(part: Part) -> tuple[ThermalK, ...]:
    return tuple(
        ThermalK(
            row.text("conductor"), row.text("insulation"), row.flag("in_cable"), row.number("k"), row.source()
        )
        for row in part.parts("k")
    )


def _voltage_drop(part: Part) -> VoltageDropLimits:
    return VoltageDropLimits(part.value("lighting_percent"), part.value("other_percent"))


def _outcome(part: Part) -> OutcomeRule:
    return OutcomeRule(part.texts("unsatisfactory"), part.texts("satisfactory"), part.source())
