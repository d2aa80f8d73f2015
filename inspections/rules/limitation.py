"""Limitations: every test not done names one, and none stands where the test was done after all."""

from collections.abc import Iterator

from inspections.rules.facts import READING_COLUMNS, Case
from inspections.rules.finding import Code, Finding, Severity, found
from inspections.rules.readings import Reading, State


def covered(case: Case) -> Iterator[Finding]:
    """Each LIM against the columns a limitation covers; each covered column against a reading after all."""
    for column in READING_COLUMNS:
        reading: Reading = getattr(case.readings, column)
        if reading.state is State.LIM and column not in case.covered:
            yield found(
                Code.LIM_WITHOUT_LIMITATION,
                column,
                Severity.INCOMPLETE,
                "LIM needs a limitation: which test and why and, if agreed, with whom.",
                case.edition.limitations,
            )
        elif reading.is_measured and column in case.covered:
            yield found(
                Code.LIMITATION_YET_TESTED,
                column,
                Severity.NOTE,
                f"A limitation covers this test, yet {reading} was measured: one of the two is wrong.",
                case.edition.limitations,
                measured=reading.text,
            )
