"""Against earlier inspections: what fell, what rose, and when the line through them would meet the limit.

Readings are compared only where they can be: an insulation reading with one taken at the same test voltage,
Zs less the supply's part where that is known. Widths are common practice, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inspections.rules import insulation, loop
from inspections.rules.continuity import exactly
from inspections.rules.facts import Case, CircuitReadings, PastResult, positive
from inspections.rules.figures import day, plain, two_places
from inspections.rules.finding import COMMON_PRACTICE, PLAIN_ARITHMETIC, Code, Finding, Severity, found
from inspections.rules.forecast import Forecast, forecast
from inspections.rules.readings import Reading

HALF = Decimal("0.5")  # weather and another instrument seldom halve a reading
STRONG_MOHM = Decimal(10)  # a fall that stays above this is worth a note, no more
RISE_SHARE, RISE_OHM = Decimal("0.2"), Decimal("0.1")  # two instruments, each a tenth off
AHEAD_YEARS = 10  # the longest interval between inspections
FORECAST = (*((column, name, "MΩ") for column, name in insulation.NAMES.items()), ("zs", "Zs", "Ω"))


def last_measured(case: Case, column: str) -> tuple[PastResult, Reading] | None:
    """The latest earlier result in which the column holds a measured value."""
    earlier = [past for past in case.past if case.on is None or past.on < case.on]
    for past in sorted(earlier, key=lambda past: past.on, reverse=True):
        reading: Reading = getattr(past.readings, column)
        if reading.is_measured:
            return past, reading
    return None


def fallen(case: Case, column: str) -> tuple[PastResult, Reading] | None:
    """The last insulation reading, where this one is surely under half of it; at whatever test voltage."""
    now, before = insulation.bounds(getattr(case.readings, column)), last_measured(case, column)
    then = insulation.bounds(before[1]) if before else None
    return before if now is not None and then is not None and now[1] < HALF * then[0] else None


def is_at_the_same_voltage(case: Case, past: PastResult) -> bool:
    """Whether two insulation readings may be compared."""
    return past.readings.ir_voltage_v == case.readings.ir_voltage_v


def insulation_fallen(case: Case) -> Iterator[Finding]:
    """An insulation reading that is surely under half of the last one."""
    for column, name in insulation.NAMES.items():
        before = fallen(case, column)
        if before is None:
            continue
        past, old = before
        reading: Reading = getattr(case.readings, column)
        figures = {"was": f"{old} MΩ", "on": f"{day(past.on)}", "is": f"{reading} MΩ"}
        if not is_at_the_same_voltage(case, past):
            yield found(
                Code.TEST_VOLTAGE_CHANGED,
                column,
                Severity.NOTE,
                f"{name} was {old} MΩ on {day(past.on)}, at another test voltage: not a fair comparison.",
                COMMON_PRACTICE,
                **figures,
            )
            continue
        yield found(
            Code.INSULATION_FALLEN,
            column,
            Severity.NOTE if reading.at_least(STRONG_MOHM) else Severity.LOOK_INTO,
            f"{name} was {old} MΩ on {day(past.on)} and is {reading} MΩ.",
            COMMON_PRACTICE,
            **figures,
        )


def continuity_risen(case: Case) -> Iterator[Finding]:
    """R1+R2 or R2 that rose by more than two instruments account for: a joint working loose."""
    for column, name in (("r1_r2", "R1+R2"), ("r2_only", "R2")):
        now, before = exactly(getattr(case.readings, column)), last_measured(case, column)
        then = exactly(before[1]) if before else None
        if now is None or then is None or before is None or now - then <= max(RISE_OHM, RISE_SHARE * then):
            continue
        yield found(
            Code.CONTINUITY_RISEN,
            column,
            Severity.LOOK_INTO,
            f"{name} was {then} Ω on {day(before[0].on)} and is {now} Ω: a joint working loose?",
            COMMON_PRACTICE,
            was=f"{then} Ω",
            on=f"{day(before[0].on)}",
            **{"is": f"{now} Ω"},
        )


@dataclass(frozen=True, slots=True)
class Rise:
    """Of Zs since ``past``, in Ω: what the circuit itself rose by, beside the part of the supply."""

    past: PastResult
    then: Decimal
    ohm: Decimal
    by_supply: Decimal


def rise(case: Case) -> Rise | None:
    """How far Zs rose by more than two instruments account for, less what the supply itself rose by where Ze
    is known on both days."""
    now, before = exactly(case.readings.zs), last_measured(case, "zs")
    then = exactly(before[1]) if before else None
    if now is None or then is None or before is None:
        return None
    ze_now, ze_then = exactly(case.supply.ze_ohm), exactly(before[0].ze_ohm)
    by_supply = ze_now - ze_then if ze_now is not None and ze_then is not None else Decimal(0)
    ohm = now - then - by_supply
    return Rise(before[0], then, ohm, by_supply) if ohm > max(RISE_OHM, RISE_SHARE * then) else None


def zs_risen(case: Case) -> Iterator[Finding]:
    """Zs that rose in the circuit itself."""
    risen = rise(case)
    if risen is None:
        return
    now, then, on = case.readings.zs, risen.then, day(risen.past.on)
    yield found(
        Code.ZS_RISEN,
        "zs",
        Severity.LOOK_INTO,
        f"Zs was {then} Ω on {on} and is {now} Ω, {plain(risen.ohm)} Ω more in the circuit itself.",
        COMMON_PRACTICE,
        working=f"{now} − {then} − {plain(risen.by_supply)} (supply) = {plain(risen.ohm)} Ω",
        was=f"{then} Ω",
        on=on,
        **{"is": f"{now} Ω"},
        rise=f"{plain(risen.ohm)} Ω",
    )


def limit_changed(case: Case) -> Iterator[Finding]:
    """A reading out of today's limit that the edition of the last inspection would have allowed."""
    before = last_measured(case, "zs")
    if before is None or before[0].edition is None:
        return
    old = loop.max_zs(case.circuit, case.supply, before[0].edition)
    limit = loop.max_zs(case.circuit, case.supply, case.edition)
    if isinstance(old, loop.CannotTell) or isinstance(limit, loop.CannotTell):
        return
    zs = case.readings.zs
    if zs.at_most(limit.ohm) is False and zs.at_most(old.ohm) is True:
        yield found(
            Code.LIMIT_CHANGED,
            "zs",
            Severity.NOTE,
            f"The limit changed from {two_places(old.ohm)} Ω to {two_places(limit.ohm)} Ω since the last "
            "inspection; the reading would have passed.",
            limit.source,
            working=limit.working,
            was=f"{two_places(old.ohm)} Ω",
            limit=f"{two_places(limit.ohm)} Ω",
        )


def limit_of(case: Case, column: str) -> Decimal | None:
    """What an insulation reading [MΩ] or Zs [Ω] is held to: worked out, else as typed; None where neither is
    known."""
    if column in insulation.NAMES:
        row = insulation.required(case.circuit, case.supply, case.edition)
        return row.minimum_mohm if row is not None else None
    if case.circuit.is_selv_or_pelv:
        return None
    limit = loop.max_zs(case.circuit, case.supply, case.edition)
    return limit.ohm if isinstance(limit, loop.MaxZs) else positive(case.circuit.max_zs_ohm)


def towards(case: Case, column: str, limit: Decimal) -> Forecast | None:
    """When the readings of a column, insulation falling or Zs rising, meet their limit, where that is within
    the years that an inspection looks ahead; None where this reading is past it already."""
    is_insulation = column in insulation.NAMES
    reading: Reading = getattr(case.readings, column)
    if case.on is None or exactly(reading) is None:
        return None
    if not (reading.at_least(limit) if is_insulation else reading.at_most(limit)):
        return None
    ahead = forecast(points(case, case.on, column), limit, may_go_by_share=is_insulation)
    return ahead if ahead is not None and ahead.on.year <= case.on.year + AHEAD_YEARS else None


def limit_forecast(case: Case) -> Iterator[Finding]:
    """Insulation falling, or Zs rising, towards its limit."""
    for column, name, unit in FORECAST:
        limit = limit_of(case, column)
        ahead = towards(case, column, limit) if limit is not None else None
        if case.on is None or limit is None or ahead is None:
            continue
        until = f"{ahead.latest:%B %Y}" if ahead.latest is not None else "perhaps never"
        read = points(case, case.on, column)
        yield found(
            Code.LIMIT_FORECAST,
            column,
            Severity.NOTE,
            f"{name}: {ahead.line} meets {two_places(limit)} {unit} in {ahead.on:%B %Y} "
            f"(from {ahead.earliest:%B %Y} to {until}).",
            PLAIN_ARITHMETIC,
            working=", ".join(f"{day:%d.%m.%Y} {value} {unit}" for day, value in read),
            limit=f"{two_places(limit)} {unit}",
            expected=f"{ahead.on:%B %Y}",
            earliest=f"{ahead.earliest:%B %Y}",
            latest=until,
        )


def points(case: Case, on: date, column: str) -> list[tuple[date, Decimal]]:
    """Exact values by day, oldest first; of insulation only those taken at today's test voltage."""
    results: list[tuple[date, CircuitReadings]] = [
        (past.on, past.readings) for past in case.past if past.on < on
    ]
    every = (*sorted(results, key=lambda result: result[0]), (on, case.readings))
    return [
        (taken, value)
        for taken, readings in every
        if (value := exactly(getattr(readings, column))) is not None
        and (column not in insulation.NAMES or readings.ir_voltage_v == case.readings.ir_voltage_v)
    ]
