"""From a finding to the text of an observation, filled in from its figures; its code is the inspector's."""

from inspections.rules.finding import Code, Finding

# What an observation says, with the figures of the finding by name. Findings about what is not filled in, or
# typed in the wrong unit, are put right in the schedule and make no observation.
TEXTS: dict[Code, str] = {
    Code.INSULATION_LOW: "Insulation resistance {measured} is below the minimum of {minimum}.",
    Code.INSULATION_LOOK_INTO: (
        "Insulation resistance {measured} is above the minimum of {minimum} but low enough to suggest"
        " a defect."
    ),
    Code.BOARD_INSULATION_LOW: (
        "Insulation resistance of the whole board {measured} is below the minimum of {minimum}."
    ),
    Code.INSULATION_FALLEN: "Insulation resistance has fallen from {was} ({on}) to {is}.",
    Code.INSULATION_EQUIPMENT_STRESSED: (
        "Connected equipment was tested at {used} instead of {wanted} and may be damaged."
    ),
    Code.ZS_OVER_LIMIT: (
        "Earth fault loop impedance {measured} is above the maximum of {limit} for the protective "
        "device; a fault may not be disconnected in time."
    ),
    Code.ZS_RELIES_ON_RCD: (
        "Earth fault loop impedance {measured} is above the maximum of {limit} for the overcurrent "
        "device; disconnection in time relies on the RCD alone."
    ),
    Code.ZS_OVER_COLD_LIMIT: (
        "Earth fault loop impedance {measured}, measured cold, is above {limit cold}; with the "
        "conductors warm it may exceed the maximum of {limit}."
    ),
    Code.ZS_UNSTABLE_ELECTRODE: (
        "Earth fault loop impedance {measured} is above the {advised} beyond which an earth electrode"
        " may not be stable."
    ),
    Code.ZS_ABOVE_SUM: (
        "Earth fault loop impedance {measured} is above the {expected} expected from the readings of "
        "the circuit; a connection may be loose."
    ),
    Code.ZS_RISEN: "Earth fault loop impedance has risen from {was} ({on}) to {is}.",
    Code.CPC_OPEN: ("Continuity of the circuit protective conductor is not proved (reading {measured})."),
    Code.CONTINUITY_ABOVE_LENGTH: (
        "R1+R2 {measured} is above the {expected at most} expected for the length of the circuit; a "
        "connection may be loose."
    ),
    Code.CONTINUITY_RISEN: (
        "Continuity resistance has risen from {was} ({on}) to {is}; a connection may be loose."
    ),
    Code.RING_OPEN: "A conductor of the ring final circuit is not continuous (reading {measured}).",
    Code.RING_LINE_NEUTRAL_DIFFER: (
        "Line {r1} and neutral {rn} of the ring final circuit differ by more than {within}."
    ),
    Code.RING_CPC_HIGH: (
        "Protective conductor of the ring final circuit reads {measured} where {expected} is "
        "expected; a connection may be loose."
    ),
    Code.RING_CROSSED: (
        "The ring final circuit appears to be bridged across: R1+R2 {measured} where {expected} is expected."
    ),
    Code.RING_SPUR_OR_LOOSE: (
        "R1+R2 of the ring final circuit is {measured} where {expected} is expected: a spur, a loose "
        "connection or a bridged ring."
    ),
    Code.BREAKING_CAPACITY_SHORT: (
        "Prospective fault current {prospective} is above the breaking capacity {breaking capacity} "
        "of the protective device."
    ),
    Code.RCD_SLOW: "RCD did not operate within {limit} (reading {measured}).",
    Code.RCD_TOO_FAST: "Time-delayed RCD operated in {measured}, below its minimum of {least}.",
    Code.RCD_TYPE_UNFIT: (
        "RCD of type {type} does not detect the {load} residual current that its load can cause."
    ),
    Code.RCD_STANDING_LEAKAGE: (
        "Standing protective conductor current {measured} is above {limit} for this RCD."
    ),
    Code.CPC_THERMALLY_SMALL: (
        "Circuit protective conductor {cpc} may be too small for the energy let through in a fault; "
        "{needed} is called for."
    ),
    Code.VOLTAGE_DROP: "Voltage drop {drop} at {load} is above {limit}.",
    Code.NOT_CORRECT: "{summary}",
}


def suggested_observation(finding: Finding, where: str = "") -> str:
    """The text of an observation for the finding, to be edited and coded by the inspector; empty where it is
    none. where: the place to begin with, e.g. ``DB1, circuit 3``.

    >>> from inspections.rules.finding import Severity
    >>> low = Finding(Code.INSULATION_LOW, "ir_live_earth", Severity.OUT_OF_LIMIT, "Live-earth is low.",
    ...               (("measured", "0.40 MΩ"), ("minimum", "1 MΩ")), rule="Table 64", source="BS 7671")
    >>> suggested_observation(low, "DB1, circuit 3")
    'DB1, circuit 3: Insulation resistance 0.40 MΩ is below the minimum of 1 MΩ. (BS 7671, Table 64)'
    """
    text = TEXTS.get(finding.code)
    if text is None:
        return ""
    filled = text.format_map(dict(finding.figures) | {"summary": finding.summary})
    reference = f" ({finding.reference})" if finding.rule else ""
    return f"{where}: {filled}{reference}" if where else f"{filled}{reference}"
