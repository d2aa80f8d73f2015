"""All checks together: one circuit, one board, one inspection. Plain values in, findings out, worst first."""

from collections.abc import Callable, Iterable

from inspections.rules import completeness, insulation, limitation, loop
from inspections.rules.facts import Case
from inspections.rules.finding import Finding, worst_first

Check = Callable[[Case], Iterable[Finding]]

CIRCUIT_CHECKS: tuple[Check, ...] = (
    completeness.readings,
    completeness.details,
    limitation.covered,
    insulation.minimum,
    loop.zs_against_limit,
    loop.electrode_stability,
    loop.typed_limit,
)


def check_circuit(case: Case) -> tuple[Finding, ...]:
    """Every finding about one circuit, worst first."""
    return worst_first(finding for check in CIRCUIT_CHECKS for finding in check(case))
