"""The outcome of a report from the codes its inspector gave. The program never gives a code itself."""

from collections.abc import Iterable
from dataclasses import dataclass

from inspections.rules.edition import Edition
from inspections.rules.finding import COMMON_PRACTICE, Source


class UnknownCode(ValueError):
    """A code that this edition does not know. The message names those it knows."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """satisfactory None: this edition gives no rule. reason: why, in plain words."""

    satisfactory: bool | None
    reason: str
    source: Source


def outcome(codes: Iterable[str], edition: Edition) -> Outcome:
    """Whether the installation is satisfactory, from the codes of the observations that still stand.

    Raises UnknownCode for a code that the edition does not have.

    >>> from inspections.rules.edition import load
    >>> outcome(["C3", "C2", "FI", "C2"], load("bs7671_2018_a2_2022")).reason
    'Unsatisfactory: C2 twice, FI once.'
    """
    rule, given = edition.outcome, [code.strip().upper() for code in codes]
    if rule is None:
        return Outcome(None, f"{edition} gives no rule for codes.", COMMON_PRACTICE)
    known = (*rule.unsatisfactory, *rule.satisfactory)
    if unknown := [code for code in given if code not in known]:
        raise UnknownCode(f"“{unknown[0]}” is not a code. Use one of {', '.join(known)}.")
    bad = [f"{code} {_times(given.count(code))}" for code in rule.unsatisfactory if code in given]
    if bad:
        return Outcome(False, f"Unsatisfactory: {', '.join(bad)}.", rule.source)
    if given:
        good = [f"{code} {_times(given.count(code))}" for code in rule.satisfactory if code in given]
        return Outcome(True, f"Satisfactory: {', '.join(good)} alone.", rule.source)
    return Outcome(True, "Satisfactory: no observation is open.", rule.source)


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")
