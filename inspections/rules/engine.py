"""All checks together: one circuit, one board, one inspection. Plain values in, findings out, worst first."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date

from inspections.rules import (
    completeness,
    continuity,
    fault_current,
    insulation,
    limitation,
    loop,
    rcd,
    ring,
    sense,
    thermal,
    trend,
    voltage_drop,
)
from inspections.rules.edition import Edition
from inspections.rules.facts import BoardFacts, Case, InstrumentFacts, SupplyFacts
from inspections.rules.finding import Finding, worst_first

Check = Callable[[Case], Iterable[Finding]]

CIRCUIT_CHECKS: tuple[Check, ...] = (
    completeness.readings,
    completeness.details,
    limitation.covered,
    insulation.minimum,
    insulation.voltage_used,
    insulation.voltage_not_held,
    insulation.where_the_path_lies,
    loop.zs_against_limit,
    loop.electrode_stability,
    loop.typed_limit,
    continuity.cpc_open,
    continuity.against_length,
    continuity.zs_against_sum,
    ring.interrupted,
    ring.line_and_neutral,
    ring.cpc_against_line,
    ring.quarter,
    ring.readings_on_radial,
    fault_current.breaking_capacity,
    rcd.trip_time,
    rcd.type_fits,
    rcd.standing_leakage,
    thermal.cpc_withstand,
    voltage_drop.drop,
    sense.not_correct,
    sense.resistances,
    sense.zs_below_source,
    sense.insulation_units,
    sense.trip_time_unit,
    sense.too_coarse,
    trend.insulation_fallen,
    trend.continuity_risen,
    trend.zs_risen,
    trend.limit_changed,
    trend.limit_forecast,
)


def check_circuit(case: Case) -> tuple[Finding, ...]:
    """Every finding about one circuit, worst first."""
    return worst_first(finding for check in CIRCUIT_CHECKS for finding in check(case))


def check_board(board: BoardFacts, circuits: Sequence[Case], edition: Edition) -> tuple[Finding, ...]:
    """What the board's own readings say beside those of its circuits, worst first."""
    return worst_first(insulation.whole_board(board, circuits, edition))


def check_inspection(
    supply: SupplyFacts, instruments: Sequence[InstrumentFacts], on: date, edition: Edition
) -> tuple[Finding, ...]:
    """The readings of the supply beside each other, and the instruments on the day, worst first."""
    return worst_first((*fault_current.supply(supply, edition), *sense.calibration(instruments, on)))
