"""Completeness: which readings and details the circuit asks for, and which of them are not there."""

from collections.abc import Iterator

from inspections.rules.devices import device
from inspections.rules.facts import TICK_COLUMNS, Case
from inspections.rules.finding import Code, Finding, Severity, Source, found
from inspections.rules.readings import Reading, State

NAMES = {
    "r1": "r1",
    "rn": "rn",
    "r2": "r2",
    "r1_r2": "R1+R2 or R2",
    "ir_live_live": "live-live insulation resistance",
    "ir_live_earth": "live-earth insulation resistance",
    "polarity": "polarity",
    "zs": "Zs",
    "rcd_trip_ms": "RCD time",
    "rcd_button": "RCD button",
    "afdd_button": "AFDD button",
}


def wanted(case: Case) -> tuple[str, ...]:
    """The reading columns this circuit asks for, in the order of the schedule."""
    circuit = case.circuit
    if circuit.is_spare:
        return ()
    insulation = ("ir_live_live", "ir_live_earth")
    if circuit.is_selv_or_pelv:
        return (*insulation, "polarity")
    ring = ("r1", "rn", "r2") if circuit.ring else ()
    rcd = ("rcd_trip_ms", "rcd_button") if has_rcd(case) else ()
    afdd = ("afdd_button",) if circuit.has_afdd else ()
    return (*ring, "r1_r2", *insulation, "polarity", "zs", *rcd, *afdd)


def has_rcd(case: Case) -> bool:
    """Whether an RCD is named for the circuit, or its protective device is one that contains an RCD."""
    circuit = case.circuit
    if circuit.names_rcd:
        return True
    protective = device(case.edition, circuit.device_standard, circuit.device_type)
    return protective is not None and protective.standard.has_rcd


def readings(case: Case) -> Iterator[Finding]:
    """Each reading asked for: blank, N/A though it applies, N/V without a reason, a tick for a number."""
    for column in wanted(case):
        reading: Reading = getattr(case.readings, column)
        if column == "r1_r2" and not _answers(reading) and _answers(case.readings.r2_only):
            continue  # R2 alone is the other permitted way
        if finding := _lacking(column, reading, column in case.covered, case.edition.schedule):
            yield finding
    needs_voltage = case.readings.ir_live_live.is_measured or case.readings.ir_live_earth.is_measured
    if needs_voltage and case.readings.ir_voltage_v is None:
        summary = "The insulation test voltage is missing."
        yield found(Code.MISSING_READING, "ir_voltage_v", Severity.INCOMPLETE, summary, case.edition.schedule)


def _answers(reading: Reading) -> bool:
    return reading.is_measured or reading.state is State.LIM


def _lacking(column: str, reading: Reading, is_covered: bool, source: Source) -> Finding | None:
    name = NAMES[column]
    if reading.is_blank:
        summary = f"No entry for {name} yet: type it, or LIM with a limitation."
        return found(Code.MISSING_READING, column, Severity.INCOMPLETE, summary, source)
    if reading.state is State.NOT_APPLICABLE:
        return found(
            Code.DOES_APPLY,
            column,
            Severity.INCOMPLETE,
            f"N/A, but {name} applies to this circuit. If it was not tested, type LIM.",
            source,
        )
    if reading.state is State.NOT_VERIFIED and not is_covered:
        return found(
            Code.NOT_VERIFIED_UNEXPLAINED,
            column,
            Severity.INCOMPLETE,
            f"N/V needs a limitation that says why {name} was not verified.",
            source,
        )
    if reading.state in (State.PASS, State.FAIL) and column not in TICK_COLUMNS:
        return found(
            Code.NOT_A_NUMBER,
            column,
            Severity.INCOMPLETE,
            f"{reading} does not give the value. Type what the instrument showed.",
            source,
        )
    return None


def details(case: Case) -> Iterator[Finding]:
    """Details without which no limit can be found."""
    circuit = case.circuit
    if circuit.is_spare or circuit.is_selv_or_pelv:
        return
    lacking = {
        "device_standard": (not circuit.device_standard.strip(), "The standard of the protective device"),
        "device_rating_a": (circuit.device_rating_a is None, "The rating of the protective device"),
        "live_csa_mm2": (circuit.live_csa_mm2 is None, "The size of the live conductors"),
        "rcd_residual_ma": (has_rcd(case) and circuit.rcd_residual_ma is None, "IΔn of the RCD"),
    }
    for column, (is_lacking, name) in lacking.items():
        if is_lacking:
            summary = f"{name} is missing."
            yield found(Code.MISSING_DETAIL, column, Severity.INCOMPLETE, summary, case.edition.schedule)
