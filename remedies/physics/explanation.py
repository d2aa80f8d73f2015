"""What a live-live reading says, as an answer: the verdict, its numbers, and what would decide more."""

from dataclasses import dataclass, replace
from enum import StrEnum

from remedies.physics.insulation_test import ExpectedReading
from remedies.physics.known_currents import CableEstimate
from remedies.physics.parts import Kind, Part
from remedies.physics.quantity import Span
from remedies.physics.two_voltages import Share


class Verdict(StrEnum):
    """How the reading stands to what the registered loads should give."""

    EXPLAINED = "explained by what is registered"
    LOWER = "lower: something more is across, or the insulation is poor"
    HIGHER = "higher: a registered load is not in circuit"


@dataclass(frozen=True, slots=True)
class Candidate:
    """Something that would make up the difference: so many of a kind; no kind stands for poor insulation."""

    kind: Kind | None
    count: int
    text: str


@dataclass(frozen=True, slots=True)
class Absence:
    """Registered loads that would have to be out of circuit: parts, and how many of each."""

    missing: tuple[tuple[Part, int], ...]

    @property
    def text(self) -> str:
        return ", ".join(
            replace(part, count=number).title + (f" of {part.count}" if part.count > number else "")
            for part, number in self.missing
        )


@dataclass(frozen=True, slots=True)
class Explanation:
    """The answer, its numbers, and what would decide more.

    cable: the insulation behind the loads, when explained. missing_ohm: resistance of what more is across,
    when lower. candidates: what that could be. absences: which registered loads would have to be out of
    circuit, when higher. shares: from a second reading, empty where the numbers carry none. capacitance_f:
    of something unregistered that charged. lines: plain sentences, in order. next_step: the one measurement
    that would decide most.
    """

    verdict: Verdict
    expected: ExpectedReading
    true_mohm: Span
    cable: CableEstimate | None
    missing_ohm: Span | None
    candidates: tuple[Candidate, ...]
    absences: tuple[Absence, ...]
    shares: tuple[Share, ...]
    capacitance_f: Span | None
    unregistered_capacitance: bool
    lines: tuple[str, ...]
    next_step: str

    @property
    def could_be(self) -> str:
        """The candidates in one sentence; empty when there are none."""
        told = "; ".join(candidate.text for candidate in self.candidates)
        return f"It could be: {told}." if told else ""
