"""RCDs: trip time by type, type against the load, standing leakage against the rated residual current."""

from collections.abc import Iterator
from decimal import Decimal

from inspections.rules.devices import RcdType, numbers, rcd_type
from inspections.rules.edition import Edition, TripTime
from inspections.rules.facts import Case, CircuitFacts, Serves, Waveform, positive
from inspections.rules.figures import plain
from inspections.rules.finding import COMMON_PRACTICE, Code, Finding, Severity, found
from inspections.rules.readings import Reading

AT_RATED = Decimal(1)
AT_FIVE_TIMES = Decimal(5)


def time_limit(circuit: CircuitFacts, edition: Edition, multiple: Decimal = AT_RATED) -> TripTime | None:
    """The operating time for the circuit's RCD at a multiple of IΔn; None where the edition has none.

    A standard with times of its own, such as one withdrawn, comes before the times for any RCD.
    """
    if edition.rcd is None:
        return None
    kind = rcd_type(circuit.rcd_type) or RcdType("", delayed=False)
    written = numbers(circuit.rcd_standard).split("-")
    fitting = [
        time
        for time in edition.rcd.times
        if time.delayed == kind.delayed
        and time.multiple == multiple
        and (not time.standards or any(standard in written for standard in time.standards))
    ]
    return max(fitting, key=lambda time: bool(time.standards), default=None)


def trip_time(case: Case) -> Iterator[Finding]:
    """The trip time at IΔn as recorded in the schedule."""
    yield from trip_time_at(case.readings.rcd_trip_ms, case.circuit, case.edition, AT_RATED)


def trip_time_at(
    reading: Reading, circuit: CircuitFacts, edition: Edition, multiple: Decimal
) -> Iterator[Finding]:
    """A trip time in ms at a multiple of IΔn (1, or 2 and 5 by older practice) against its limits."""
    limit = time_limit(circuit, edition, multiple)
    if limit is None or not reading.is_measured:
        return
    figures = {"measured": f"{reading} ms", "limit": f"{plain(limit.max_ms)} ms"}
    within = reading.at_most(limit.max_ms)
    if within is None:
        yield found(
            Code.RCD_RANGE_SHORT,
            "rcd_trip_ms",
            Severity.LOOK_INTO,
            f"RCD time {reading} ms does not show whether it trips within {plain(limit.max_ms)} ms.",
            limit.source,
            **figures,
        )
    elif not within:
        how = "did not trip within" if reading.text.startswith(">") else "took"
        yield found(
            Code.RCD_SLOW,
            "rcd_trip_ms",
            Severity.OUT_OF_LIMIT,
            f"RCD {how} {reading.text.lstrip('>')} ms; the limit is {plain(limit.max_ms)} ms.",
            limit.source,
            **figures,
        )
    elif limit.min_ms is not None and reading.at_least(limit.min_ms) is False:
        yield found(
            Code.RCD_TOO_FAST,
            "rcd_trip_ms",
            Severity.OUT_OF_LIMIT,
            f"RCD time {reading} ms is below {plain(limit.min_ms)} ms: a type S must let the RCD "
            "downstream trip first.",
            limit.source,
            **figures,
            least=f"{plain(limit.min_ms)} ms",
        )


def type_fits(case: Case) -> Iterator[Finding]:
    """The type of the RCD against the residual current its load can cause.

    Where the load is not described, socket-outlets stand for electronic equipment: pulsating d.c.
    """
    circuit, limits = case.circuit, case.edition.rcd
    kind = rcd_type(circuit.rcd_type)
    if kind is None:
        yield found(
            Code.RCD_TYPE_UNREAD,
            "rcd_type",
            Severity.NOTE,
            f"RCD type “{circuit.rcd_type.strip()}” is not understood. Type AC, A, F or B, and S "
            "where delayed.",
            COMMON_PRACTICE,
        )
        return
    suits = next((s for s in limits.suits if s.type == kind.detects), None) if limits is not None else None
    load = circuit.waveform
    if load is None and circuit.serves is Serves.SOCKET_OUTLETS:
        load = Waveform.PULSATING
    if suits is None or load is None or load.value in suits.waveforms:
        return
    yield found(
        Code.RCD_TYPE_UNFIT,
        "rcd_type",
        Severity.LOOK_INTO,
        f"Type {kind.detects} does not detect {load.value} residual current, which this load can cause.",
        suits.source,
        type=kind.detects,
        load=load.value,
    )


def standing_leakage(case: Case) -> Iterator[Finding]:
    """Protective conductor current in normal service against the share of IΔn it may take."""
    leakage_ma, residual_ma = (
        positive(case.circuit.standing_leakage_ma),
        positive(case.circuit.rcd_residual_ma),
    )
    share = case.edition.rcd.standing_fraction if case.edition.rcd is not None else None
    if leakage_ma is None or residual_ma is None or share is None:
        return
    most = share.number * residual_ma
    if leakage_ma > most:
        yield found(
            Code.RCD_STANDING_LEAKAGE,
            "rcd_residual_ma",
            Severity.LOOK_INTO,
            f"Standing leakage {plain(leakage_ma)} mA is above {plain(most)} mA: the RCD may trip "
            "without a fault.",
            share.source,
            working=f"{plain(share.number)} × {plain(residual_ma)} = {plain(most)} mA",
            measured=f"{plain(leakage_ma)} mA",
            limit=f"{plain(most)} mA",
        )
