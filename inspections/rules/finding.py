"""What a check says: where it stands, how bad, in what words, by which figures, under which rule.

A finding compares and points. It never codes an observation and never passes an installation: that is the
inspector's.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How bad, worst first. The value is the word to show."""

    OUT_OF_LIMIT = "out of limit"
    DISAGREES = "disagrees"
    LOOK_INTO = "look into"
    INCOMPLETE = "incomplete"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 is worst."""
        return _RANK[self]


_RANK = {severity: rank for rank, severity in enumerate(Severity)}


class Code(StrEnum):
    """What was found: the name a caller may act on. The words of the finding are for people."""

    # insulation
    INSULATION_LOW = "insulation-low"
    INSULATION_LOOK_INTO = "insulation-look-into"
    INSULATION_RANGE_SHORT = "insulation-range-short"
    INSULATION_TEST_VOLTAGE = "insulation-test-voltage"
    INSULATION_EQUIPMENT_STRESSED = "insulation-equipment-stressed"
    INSULATION_VOLTAGE_NOT_HELD = "insulation-voltage-not-held"
    INSULATION_PATH_BETWEEN_LIVES = "insulation-path-between-lives"
    INSULATION_ONE_CONDUCTOR = "insulation-one-conductor"
    BOARD_INSULATION_LOW = "board-insulation-low"
    BOARD_INSULATION_BELOW_CIRCUITS = "board-insulation-below-circuits"
    BOARD_INSULATION_ABOVE_CIRCUITS = "board-insulation-above-circuits"
    # earth fault loop
    ZS_OVER_LIMIT = "zs-over-limit"
    ZS_RELIES_ON_RCD = "zs-relies-on-rcd"
    ZS_OVER_COLD_LIMIT = "zs-over-cold-limit"
    ZS_RANGE_SHORT = "zs-range-short"
    ZS_LIMIT_UNKNOWN = "zs-limit-unknown"
    ZS_LIMIT_TYPED_DIFFERS = "zs-limit-typed-differs"
    ZS_UNSTABLE_ELECTRODE = "zs-unstable-electrode"
    ZS_ABOVE_SUM = "zs-above-sum"
    ZS_BELOW_SUM = "zs-below-sum"
    ZS_BELOW_SUPPLY = "zs-below-supply"
    # continuity and rings
    CPC_OPEN = "cpc-open"
    CONTINUITY_ABOVE_LENGTH = "continuity-above-length"
    CONTINUITY_BELOW_LENGTH = "continuity-below-length"
    RING_OPEN = "ring-open"
    RING_LINE_NEUTRAL_DIFFER = "ring-line-neutral-differ"
    RING_CPC_HIGH = "ring-cpc-high"
    RING_CPC_LOW = "ring-cpc-low"
    RING_NOT_QUARTERED = "ring-not-quartered"
    RING_CROSSED = "ring-crossed"
    RING_SPUR_OR_LOOSE = "ring-spur-or-loose"
    RING_BELOW_QUARTER = "ring-below-quarter"
    RING_READINGS_ON_RADIAL = "ring-readings-on-radial"
    # fault current
    BREAKING_CAPACITY_SHORT = "breaking-capacity-short"
    FAULT_CURRENT_BELOW_EARTH_FAULT = "fault-current-below-earth-fault"
    FAULT_CURRENT_ABOVE_LOOP = "fault-current-above-loop"
    FAULT_CURRENT_ONE_PHASE_ONLY = "fault-current-one-phase-only"
    BREAKING_CAPACITY_IN_AMPERES = "breaking-capacity-in-amperes"
    # RCD
    RCD_SLOW = "rcd-slow"
    RCD_TOO_FAST = "rcd-too-fast"
    RCD_RANGE_SHORT = "rcd-range-short"
    RCD_TYPE_UNFIT = "rcd-type-unfit"
    RCD_TYPE_UNREAD = "rcd-type-unread"
    RCD_STANDING_LEAKAGE = "rcd-standing-leakage"
    # conductors
    CPC_THERMALLY_SMALL = "cpc-thermally-small"
    CPC_LET_THROUGH = "cpc-let-through"
    VOLTAGE_DROP = "voltage-drop"
    # sense
    NOT_CORRECT = "not-correct"
    NO_CABLE_READS_ZERO = "no-cable-reads-zero"
    PERHAPS_MILLIOHM = "perhaps-milliohm"
    PERHAPS_KILOHM = "perhaps-kilohm"
    PERHAPS_SECONDS = "perhaps-seconds"
    ABOVE_RANGE_TOP = "above-range-top"
    AT_RANGE_TOP = "at-range-top"
    TOO_COARSE = "too-coarse"
    OUT_OF_CALIBRATION = "out-of-calibration"
    CALIBRATION_UNKNOWN = "calibration-unknown"
    # completeness
    MISSING_READING = "missing-reading"
    MISSING_DETAIL = "missing-detail"
    NOT_A_NUMBER = "not-a-number"
    DOES_APPLY = "does-apply"
    NOT_VERIFIED_UNEXPLAINED = "not-verified-unexplained"
    LIM_WITHOUT_LIMITATION = "lim-without-limitation"
    LIMITATION_YET_TESTED = "limitation-yet-tested"
    # against earlier inspections
    INSULATION_FALLEN = "insulation-fallen"
    TEST_VOLTAGE_CHANGED = "test-voltage-changed"
    CONTINUITY_RISEN = "continuity-risen"
    ZS_RISEN = "zs-risen"
    LIMIT_CHANGED = "limit-changed"
    LIMIT_FORECAST = "limit-forecast"


@dataclass(frozen=True, slots=True)
class Source:
    """Where a value comes from. ``from_memory``: known to the trade, not checked against a printed text."""

    publication: str
    clause: str = ""
    from_memory: bool = False


COMMON_PRACTICE = Source("common practice, no source")
PLAIN_ARITHMETIC = Source("arithmetic of the circuit")


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found.

    column: the name in inspections.columns of the cell it stands beside, or None for the whole row, board or
    inspection. figures: (name, text with unit) pairs, in order. working: formula, numbers put in and result,
    to follow with a calculator; may be empty. rule: the clause; source: the publication and its edition.
    """

    code: Code
    column: str | None
    severity: Severity
    summary: str
    figures: tuple[tuple[str, str], ...] = ()
    working: str = ""
    rule: str = ""
    source: str = ""
    from_memory: bool = False

    @property
    def reference(self) -> str:
        """Source and clause in one line, saying so where the value is from memory."""
        where = ", ".join(part for part in (self.source, self.rule) if part)
        return f"{where} (value from memory)" if self.from_memory else where


def found(
    code: Code,
    column: str | None,
    severity: Severity,
    summary: str,
    source: Source,
    *,
    working: str = "",
    **figures: str,
) -> Finding:
    """A finding that rests on ``source``. Figures are given by name and keep their order."""
    return Finding(
        code,
        column,
        severity,
        summary,
        tuple((name.replace("_", " "), text) for name, text in figures.items()),
        working,
        source.clause,
        source.publication,
        source.from_memory,
    )


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Sorted by severity, then by column and code, so that the same readings give the same list."""
    return tuple(sorted(findings, key=lambda f: (f.severity.rank, f.column or "", f.code, f.summary)))
