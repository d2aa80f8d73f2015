"""Against earlier inspections: what fell, what rose, and when a straight line would meet the limit.

Readings are compared only where they can be: an insulation reading with one taken at the same test voltage,
Zs less the supply's part where that is known. Widths are common practice, no source.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from math import sqrt

from inspections.rules import insulation, loop
from inspections.rules.continuity import exactly
from inspections.rules.facts import Case, CircuitReadings, PastResult
from inspections.rules.figures import day, plain, two_places
from inspections.rules.finding import COMMON_PRACTICE, PLAIN_ARITHMETIC, Code, Finding, Severity, found
from inspections.rules.readings import Reading

HALF = Decimal("0.5")  # weather and another instrument seldom halve a reading
STRONG_MOHM = Decimal(10)  # a fall that stays above this is worth a note, no more
RISE_SHARE, RISE_OHM = Decimal("0.2"), Decimal("0.1")  # two instruments, each a tenth off
AHEAD_YEARS = 10  # the longest interval between inspections
# Student's t, two-sided 95 %, for 1, 2, 3 … degrees of freedom; the last is used beyond.
STUDENT_T = (12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228)


@dataclass(frozen=True, slots=True)
class Forecast:
    """When a straight line through the readings meets the limit: the day, and the days between which it lies
    with 95 % confidence in the line. latest None: perhaps never. Weather and instruments are not in it."""

    on: date
    earliest: date
    latest: date | None


def last_measured(case: Case, column: str) -> tuple[PastResult, Reading] | None:
    """The latest earlier result in which the column holds a measured value."""
    earlier = [past for past in case.past if case.on is None or past.on < case.on]
    for past in sorted(earlier, key=lambda past: past.on, reverse=True):
        reading: Reading = getattr(past.readings, column)
        if reading.is_measured:
            return past, reading
    return None


def insulation_fallen(case: Case) -> Iterator[Finding]:
    """An insulation reading that is surely under half of the last one."""
    for column, name in insulation.NAMES.items():
        reading: Reading = getattr(case.readings, column)
        now, before = insulation.bounds(reading), last_measured(case, column)
        then = insulation.bounds(before[1]) if before else None
        if now is None or then is None or before is None or now[1] >= HALF * then[0]:
            continue
        past, old = before
        figures = {"was": f"{old} MΩ", "on": f"{day(past.on)}", "is": f"{reading} MΩ"}
        if past.readings.ir_voltage_v != case.readings.ir_voltage_v:
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
            Severity.LOOK_INTO if now[1] < STRONG_MOHM else Severity.NOTE,
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


def zs_risen(case: Case) -> Iterator[Finding]:
    """Zs that rose, less what the supply itself rose by where Ze is known on both days."""
    now, before = exactly(case.readings.zs), last_measured(case, "zs")
    then = exactly(before[1]) if before else None
    if now is None or then is None or before is None:
        return
    past = before[0]
    ze_now, ze_then = exactly(case.supply.ze_ohm), exactly(past.ze_ohm)
    by_supply = ze_now - ze_then if ze_now is not None and ze_then is not None else Decimal(0)
    rise = now - then - by_supply
    if rise <= max(RISE_OHM, RISE_SHARE * then):
        return
    working = f"{now} − {then} − {plain(by_supply)} (supply) = {plain(rise)} Ω"
    yield found(
        Code.ZS_RISEN,
        "zs",
        Severity.LOOK_INTO,
        f"Zs was {then} Ω on {day(past.on)} and is {now} Ω, {plain(rise)} Ω more in the circuit itself.",
        COMMON_PRACTICE,
        working=working,
        was=f"{then} Ω",
        on=f"{day(past.on)}",
        **{"is": f"{now} Ω"},
        rise=f"{plain(rise)} Ω",
    )


def limit_changed(case: Case) -> Iterator[Finding]:
    """A reading out of today's limit that the limit of the last inspection would have allowed."""
    before = last_measured(case, "zs")
    old_limit = before[0].max_zs_ohm if before else None
    limit = loop.max_zs(case.circuit, case.supply, case.edition)
    if before is None or old_limit is None or isinstance(limit, loop.CannotTell):
        return
    zs = case.readings.zs
    if zs.at_most(limit.ohm) is False and zs.at_most(old_limit) is True:
        yield found(
            Code.LIMIT_CHANGED,
            "zs",
            Severity.NOTE,
            f"The limit changed from {plain(old_limit)} Ω to {two_places(limit.ohm)} Ω; the reading "
            "would have passed.",
            limit.source,
            working=limit.working,
            was=f"{plain(old_limit)} Ω",
            limit=f"{two_places(limit.ohm)} Ω",
        )


def forecast(points: Sequence[tuple[date, Decimal]], limit: Decimal) -> Forecast | None:
    """When the least-squares line through three or more points meets the limit, with its 95 % range.

    The range is where the confidence band of the line meets the limit: (d + b·u)² = t²·s²·(1/n + u²/Sxx), u
    being the time from the mean. None with fewer than three points or days, where the line does not run
    towards the limit after the last point, or where the scatter allows any day at all.
    """
    n = len(points)
    if n < 3 or len({on for on, _ in points}) < 3:
        return None
    days = [float(on.toordinal()) for on, _ in points]
    values = [float(value) for _, value in points]
    mean_day, mean_value = sum(days) / n, sum(values) / n
    sxx = sum((day - mean_day) ** 2 for day in days)
    pairs = list(zip(days, values, strict=True))
    slope = sum((day - mean_day) * (value - mean_value) for day, value in pairs) / sxx
    d = mean_value - float(limit)
    if slope == 0:
        return None
    crossing, last = -d / slope, max(days) - mean_day
    if crossing <= last:
        return None
    residual = sum((value - mean_value - slope * (day - mean_day)) ** 2 for day, value in pairs)
    c2 = STUDENT_T[min(n - 2, len(STUDENT_T)) - 1] ** 2 * residual / (n - 2)
    a, b, c = slope**2 - c2 / sxx, 2 * slope * d, d**2 - c2 / n
    root = b * b - 4 * a * c
    if root < 0 or a == 0:
        return None
    low, high = sorted(((-b - sqrt(root)) / (2 * a), (-b + sqrt(root)) / (2 * a)))
    on, earliest = _day(mean_day + crossing), _day(mean_day + max(low if a > 0 else high, last))
    if on is None or earliest is None:
        return None
    return Forecast(on, earliest, _day(mean_day + high) if a > 0 else None)


def _day(ordinal: float) -> date | None:
    return date.fromordinal(round(ordinal)) if 1 <= ordinal <= date.max.toordinal() else None


def limit_forecast(case: Case) -> Iterator[Finding]:
    """Insulation falling, or Zs rising, towards its limit within the years that an inspection looks ahead."""
    if case.on is None:
        return
    row = insulation.required(case.circuit, case.supply, case.edition)
    limit = loop.max_zs(case.circuit, case.supply, case.edition)
    if row is not None:
        for column, name in insulation.NAMES.items():
            yield from _forecast(case, case.on, column, name, "MΩ", row.minimum_mohm)
    if isinstance(limit, loop.MaxZs):
        yield from _forecast(case, case.on, "zs", "Zs", "Ω", limit.ohm)


def _forecast(case: Case, on: date, column: str, name: str, unit: str, limit: Decimal) -> Iterator[Finding]:
    points = list(_points(case, on, column))
    if not points or points[-1][0] != on:
        return
    passes_above = unit == "MΩ"
    if (points[-1][1] < limit) if passes_above else (points[-1][1] > limit):
        return
    ahead = forecast(points, limit)
    if ahead is None or ahead.on.year > on.year + AHEAD_YEARS:
        return
    until = f"{ahead.latest:%B %Y}" if ahead.latest is not None else "perhaps never"
    yield found(
        Code.LIMIT_FORECAST,
        column,
        Severity.NOTE,
        f"{name}: a straight line meets {two_places(limit)} {unit} in {ahead.on:%B %Y} "
        f"(from {ahead.earliest:%B %Y} to {until}).",
        PLAIN_ARITHMETIC,
        working=", ".join(f"{day:%d.%m.%Y} {value} {unit}" for day, value in points),
        limit=f"{two_places(limit)} {unit}",
        expected=f"{ahead.on:%B %Y}",
        earliest=f"{ahead.earliest:%B %Y}",
        latest=until,
    )


def _points(case: Case, on: date, column: str) -> Iterator[tuple[date, Decimal]]:
    """Exact values by day, oldest first; of insulation only those taken at today's test voltage."""
    results: list[tuple[date, CircuitReadings]] = [
        (past.on, past.readings) for past in case.past if past.on < on
    ]
    for taken, readings in (*sorted(results, key=lambda result: result[0]), (on, case.readings)):
        value = exactly(getattr(readings, column))
        if column in insulation.NAMES and readings.ir_voltage_v != case.readings.ir_voltage_v:
            continue
        if value is not None:
            yield taken, value
