"""Sense: readings that no circuit gives, units mistaken, and what the instrument can show.

Thresholds here are common practice, no source, unless a source is named.
"""

from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal

from inspections.rules import insulation, loop
from inspections.rules.continuity import exactly
from inspections.rules.facts import READING_COLUMNS, Case, Earthing, InstrumentFacts
from inspections.rules.figures import day, plain
from inspections.rules.finding import COMMON_PRACTICE, PLAIN_ARITHMETIC, Code, Finding, Severity, found
from inspections.rules.readings import Reading, State

RESISTANCES = {"r1": "r1", "rn": "rn", "r2": "r2", "r1_r2": "R1+R2", "r2_only": "R2", "zs": "Zs"}
MILLIOHM_FROM = Decimal(20)  # over 500 m of the thinnest cable
KILOHM_FROM_MOHM = Decimal(20000)  # 20 GΩ, above the range of installation testers
SECONDS_BELOW_MS = Decimal(1)  # no RCD opens within a millisecond
LAST_DIGITS_OHM = Decimal("0.05")  # two loop tests
COARSE = Decimal("0.1")

WRONG = {
    "polarity": "Polarity is not correct.",
    "rcd_button": "The RCD did not trip by its test button.",
    "afdd_button": "The AFDD did not trip by its test button.",
}


def not_correct(case: Case) -> Iterator[Finding]:
    """Every test marked as failed."""
    for column in READING_COLUMNS:
        reading: Reading = getattr(case.readings, column)
        if reading.state is State.FAIL:
            summary = WRONG.get(column, "The test is marked as failed.")
            yield found(Code.NOT_CORRECT, column, Severity.OUT_OF_LIMIT, summary, COMMON_PRACTICE)


def resistances(case: Case) -> Iterator[Finding]:
    """A resistance of nothing at all, or so large that it must be in milliohms."""
    for column, name in RESISTANCES.items():
        value = exactly(getattr(case.readings, column))
        if value is None:
            continue
        if value == 0:
            yield found(
                Code.NO_CABLE_READS_ZERO,
                column,
                Severity.DISAGREES,
                f"{name} is 0 Ω, which no cable has. Check how the leads were nulled, and test again.",
                COMMON_PRACTICE,
                measured=f"{plain(value)} Ω",
            )
        elif value >= MILLIOHM_FROM and not (column == "zs" and case.supply.earthing in (Earthing.TT, None)):
            yield found(
                Code.PERHAPS_MILLIOHM,
                column,
                Severity.DISAGREES,
                f"{name} {plain(value)} Ω seems to be in mΩ: {plain(value / 1000)} Ω?",
                COMMON_PRACTICE,
                typed=f"{plain(value)} Ω",
            )


def zs_below_source(case: Case) -> Iterator[Finding]:
    """Zs of a circuit below the loop impedance where the circuit begins."""
    before, zs = exactly(case.source_impedance), case.readings.zs
    if before is None or zs.at_least(before - LAST_DIGITS_OHM) is not False:
        return
    at = "at the board" if case.board.zdb_ohm.is_measured else "of the supply (Ze)"
    yield found(
        Code.ZS_BELOW_SUPPLY,
        "zs",
        Severity.DISAGREES,
        f"Zs {zs} Ω is below the {plain(before)} Ω {at}: a parallel earth path, or two values exchanged.",
        PLAIN_ARITHMETIC,
        measured=f"{zs} Ω",
        before=f"{plain(before)} Ω",
    )


def insulation_units(case: Case) -> Iterator[Finding]:
    """An insulation reading above what the instrument shows: kilohms typed for megohms, or the > left out."""
    tops = [i.insulation_range_top_mohm for i in case.instruments if i.insulation_range_top_mohm is not None]
    top = max(tops, default=None)
    for column, name in insulation.NAMES.items():
        reading: Reading = getattr(case.readings, column)
        value, exact = reading.value, exactly(reading)
        if value is None:
            continue
        figures = {"typed": f"{reading} MΩ"} | ({} if top is None else {"top_of_range": f"{plain(top)} MΩ"})
        if exact is not None and exact > (KILOHM_FROM_MOHM if top is None else top):
            yield found(
                Code.PERHAPS_KILOHM,
                column,
                Severity.DISAGREES,
                f"{name} {reading} MΩ is above what a tester shows. In kΩ it would be "
                f"{plain(exact / 1000)} MΩ.",
                COMMON_PRACTICE,
                **figures,
            )
        elif top is not None and value > top:
            yield found(
                Code.ABOVE_RANGE_TOP,
                column,
                Severity.DISAGREES,
                f"{name} {reading} MΩ is above the top of the instrument’s range, {plain(top)} MΩ.",
                COMMON_PRACTICE,
                **figures,
            )
        elif top is not None and exact == top:
            yield found(
                Code.AT_RANGE_TOP,
                column,
                Severity.NOTE,
                f"{name} {reading} MΩ is the top of the range. If it ran out of range, type >{plain(top)}.",
                COMMON_PRACTICE,
                **figures,
            )


def trip_time_unit(case: Case) -> Iterator[Finding]:
    """A trip time under a millisecond: seconds typed for milliseconds."""
    value = exactly(case.readings.rcd_trip_ms)
    if value is not None and value < SECONDS_BELOW_MS:
        yield found(
            Code.PERHAPS_SECONDS,
            "rcd_trip_ms",
            Severity.DISAGREES,
            f"RCD time {plain(value)} ms is too short for any RCD. In seconds it would be "
            f"{plain(value * 1000)} ms.",
            COMMON_PRACTICE,
            typed=f"{plain(value)} ms",
        )


def too_coarse(case: Case) -> Iterator[Finding]:
    """A reading within its limit whose last place is too coarse to say so."""
    zs, limit = case.readings.zs, loop.max_zs(case.circuit, case.supply, case.edition)
    if isinstance(limit, loop.MaxZs) and not limit.by_rcd:
        yield from _coarse("zs", zs, "Zs", "Ω", limit.ohm, above=True)
    row = insulation.required(case.circuit, case.supply, case.edition)
    if row is None:
        return
    for column, name in insulation.NAMES.items():
        reading: Reading = getattr(case.readings, column)
        yield from _coarse(column, reading, name, "MΩ", row.minimum_mohm, above=False)


def _coarse(
    column: str, reading: Reading, name: str, unit: str, limit: Decimal, *, above: bool
) -> Iterator[Finding]:
    value, step = exactly(reading), reading.resolution
    if value is None or step is None or step < COARSE:
        return
    passes = value <= limit < value + step / 2 if above else value - step / 2 < limit <= value
    if passes:
        yield found(
            Code.TOO_COARSE,
            column,
            Severity.NOTE,
            f"{name} {reading} {unit} is written to {plain(step)} {unit}, too coarse for the limit "
            f"{limit:.2f} {unit}.",
            PLAIN_ARITHMETIC,
            measured=f"{reading} {unit}",
            limit=f"{limit:.2f} {unit}",
        )


def calibration(instruments: Iterable[InstrumentFacts], on: date) -> Iterator[Finding]:
    """Every instrument of the visit against the date its calibration runs to."""
    for instrument in instruments:
        until = instrument.calibrated_until
        if until is None:
            yield found(
                Code.CALIBRATION_UNKNOWN,
                None,
                Severity.INCOMPLETE,
                f"{instrument.name}: until when it is calibrated is not recorded.",
                COMMON_PRACTICE,
                instrument=instrument.name,
            )
        elif until < on:
            yield found(
                Code.OUT_OF_CALIBRATION,
                None,
                Severity.LOOK_INTO,
                f"{instrument.name} was calibrated until {day(until)}, before the test on {day(on)}.",
                COMMON_PRACTICE,
                instrument=instrument.name,
                calibrated_until=f"{day(until)}",
                tested_on=f"{day(on)}",
            )
