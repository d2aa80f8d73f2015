"""Earth fault loop impedance: the largest permitted Zs, and the measured Zs held to it."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from inspections.rules.devices import Device, device
from inspections.rules.edition import Edition, FuseTable
from inspections.rules.facts import Case, CircuitFacts, Earthing, Serves, SupplyFacts, positive
from inspections.rules.figures import beside, plain, two_places, two_places_down
from inspections.rules.finding import Code, Finding, Severity, Source, found


@dataclass(frozen=True, slots=True)
class Seconds:
    """A required disconnection time with the reason for it."""

    s: Decimal
    because: str
    source: Source


@dataclass(frozen=True, slots=True)
class MaxZs:
    """Largest permitted Zs in Ω, unrounded.

    cold_ohm: the figure for a reading taken with the cable cold, or None where temperature does not matter.
    working: to follow with a calculator. by_rcd: the limit is the RCD's.
    """

    ohm: Decimal
    cold_ohm: Decimal | None
    working: str
    source: Source
    by_rcd: bool = False


@dataclass(frozen=True, slots=True)
class CannotTell:
    """Why there is no limit to hold a reading to, in words that say what to give."""

    reason: str


def max_zs(circuit: CircuitFacts, supply: SupplyFacts, edition: Edition) -> MaxZs | CannotTell:
    """Largest permitted earth fault loop impedance of the circuit, or why it cannot be told.

    Zs = U0 × Cmin ÷ Ia, where Ia makes the device disconnect in the required time (BS 7671 411.4.4); on a TT
    supply with an RCD, Zs = 50 V ÷ IΔn (411.5.3).

    >>> from inspections.rules.edition import load
    >>> ring = CircuitFacts(device_standard="60898", device_type="B", device_rating_a=Decimal(32))
    >>> limit = max_zs(ring, SupplyFacts(Earthing.TN_S, u0_v=Decimal(230)), load("bs7671_2018_a2_2022"))
    >>> limit.ohm, limit.working
    (Decimal('1.365625'), '230 × 0.95 ÷ (5 × 32) = 1.37 Ω')
    """
    by_rcd = residual_max_zs(circuit, edition)
    if supply.earthing is Earthing.TT and by_rcd is not None:
        return by_rcd
    by_device = device_max_zs(circuit, supply, edition)
    if isinstance(by_device, CannotTell) and by_rcd is not None:
        return by_rcd
    return by_device


def residual_max_zs(circuit: CircuitFacts, edition: Edition) -> MaxZs | None:
    """The limit of the circuit's RCD, touch voltage ÷ IΔn; None where IΔn is not given."""
    residual_ma = positive(circuit.rcd_residual_ma)
    if residual_ma is None:
        return None
    touch = edition.loop.touch_voltage_v
    ohm = touch.number * 1000 / residual_ma
    working = f"{plain(touch.number)} V ÷ {plain(residual_ma)} mA = {two_places(ohm)} Ω"
    return MaxZs(ohm, None, working, touch.source, by_rcd=True)


def device_max_zs(circuit: CircuitFacts, supply: SupplyFacts, edition: Edition) -> MaxZs | CannotTell:
    """The limit of the circuit's overcurrent device alone, or why it cannot be told."""
    rating_a = positive(circuit.device_rating_a)
    if not circuit.device_standard.strip():
        return CannotTell("the standard of the protective device is not given")
    protective = device(edition, circuit.device_standard, circuit.device_type)
    if protective is None:
        return CannotTell(f"{edition} has no figures here for “{circuit.device_standard.strip()}”")
    if protective.standard.unknown:
        return CannotTell(protective.standard.unknown)
    if rating_a is None:
        return CannotTell("the rating of the protective device is not given")
    u0_v = positive(supply.u0_v)
    if u0_v is None:
        return CannotTell("the nominal voltage to earth of the supply is not given")
    time = disconnection_time(circuit, supply, edition)
    if isinstance(time, CannotTell):
        return time
    if protective.standard.multiples:
        return _breaker_max_zs(protective, rating_a, u0_v, time.s, edition)
    return _fuse_max_zs(protective, rating_a, u0_v, time.s, edition)


def disconnection_time(circuit: CircuitFacts, supply: SupplyFacts, edition: Edition) -> Seconds | CannotTell:
    """Longest permitted disconnection time: as given, else from what the circuit serves and its rating.

    Where it is not said what the circuit serves, it is held to the time of a final circuit with
    socket-outlets, which is never the longer one.
    """
    if given := positive(circuit.disconnection_time_s):
        return Seconds(given, "as given for the circuit", Source("circuit details"))
    if supply.earthing is None:
        return CannotTell("the earthing arrangement of the supply is not given")
    u0_v, rating_a = positive(supply.u0_v), positive(circuit.device_rating_a)
    if u0_v is None or rating_a is None:
        return CannotTell("the nominal voltage to earth or the rating of the device is not given")
    loop, is_tt = edition.loop, supply.earthing is Earthing.TT
    largest = loop.fixed_rating_a if circuit.serves is Serves.FIXED_EQUIPMENT else loop.socket_rating_a
    if circuit.serves is Serves.DISTRIBUTION or rating_a > largest.number:
        other = loop.other_tt_s if is_tt else loop.other_tn_s
        because = (
            "a distribution circuit"
            if circuit.serves is Serves.DISTRIBUTION
            else f"rated above {plain(largest.number)} A"
        )
        return Seconds(other.number, because, other.source)
    rows = [row for row in loop.disconnection if row.up_to_v is None or u0_v <= row.up_to_v]
    if u0_v <= loop.disconnection_above_v.number or not rows:
        return CannotTell(f"{edition} gives no disconnection time for {plain(u0_v)} V to earth")
    return Seconds(rows[0].tt_s if is_tt else rows[0].tn_s, "a final circuit", rows[0].source)


def operating_multiple(protective: Device, seconds: Decimal, edition: Edition) -> Decimal | None:
    """How many times its rating makes a breaker disconnect within that time; None where it is not sure to."""
    if seconds < edition.loop.instantaneous_s.number:
        return None
    slow = protective.standard.slow_multiples.get(protective.type)
    if slow is not None and seconds >= 5:
        return slow
    return protective.standard.multiples.get(protective.type)


def fuse_table(protective: Device, rating_a: Decimal, seconds: Decimal) -> FuseTable | None:
    """The table of the longest time not above that asked for, in which the rating is printed."""
    fitting = [
        table for table in protective.standard.tables if table.seconds <= seconds and rating_a in table.ohm
    ]
    return max(fitting, key=lambda table: table.seconds, default=None)


def _breaker_max_zs(
    protective: Device, rating_a: Decimal, u0_v: Decimal, seconds: Decimal, edition: Edition
) -> MaxZs | CannotTell:
    name, types = protective.standard.standard, ", ".join(protective.standard.multiples)
    if protective.type not in protective.standard.multiples:
        written = f"type “{protective.type}”" if protective.type else "no type"
        return CannotTell(f"{name} with {written}: give the type as one of {types}")
    multiple = operating_multiple(protective, seconds, edition)
    if multiple is None:
        return CannotTell(f"{name} is not sure to disconnect within {plain(seconds)} s by overcurrent alone")
    c_min = edition.loop.c_min
    ohm = u0_v * c_min.number / (multiple * rating_a)
    voltage = plain(u0_v) if c_min.number == 1 else f"{plain(u0_v)} × {plain(c_min.number)}"
    working = f"{voltage} ÷ ({plain(multiple)} × {plain(rating_a)}) = {two_places(ohm)} Ω"
    return MaxZs(ohm, ohm * edition.loop.cold_factor.number, working, protective.standard.source)


def _fuse_max_zs(
    protective: Device, rating_a: Decimal, u0_v: Decimal, seconds: Decimal, edition: Edition
) -> MaxZs | CannotTell:
    name = protective.standard.standard
    if protective.type in protective.standard.other_types:
        return CannotTell(f"the tables for {name} do not hold for type {protective.type}")
    table = fuse_table(protective, rating_a, seconds)
    if table is None:
        return CannotTell(f"{edition} has no figure here for {name}, {plain(rating_a)} A, {plain(seconds)} s")
    printed = table.ohm[rating_a]
    ohm = printed * u0_v / table.u0_v
    working = f"{name}, {plain(rating_a)} A, {plain(table.seconds)} s: {two_places(printed)} Ω"
    if u0_v != table.u0_v:
        working += f" at {plain(table.u0_v)} V; × {plain(u0_v)} ÷ {plain(table.u0_v)} = {two_places(ohm)} Ω"
    return MaxZs(ohm, ohm * edition.loop.cold_factor.number, working, table.source)


def zs_against_limit(case: Case) -> Iterator[Finding]:
    """Measured Zs against the full limit and the limit for a cold cable, compared unrounded."""
    zs = case.readings.zs
    if not zs.is_measured or case.circuit.is_selv_or_pelv:
        return
    limit = max_zs(case.circuit, case.supply, case.edition)
    if isinstance(limit, CannotTell):
        yield from _against_typed_limit(case, limit)
    elif (within := zs.at_most(limit.ohm)) is None:
        yield found(
            Code.ZS_RANGE_SHORT,
            "zs",
            Severity.LOOK_INTO,
            f"Zs is {zs} Ω: the instrument ran out of range, so {two_places(limit.ohm)} Ω cannot be judged.",
            limit.source,
            working=limit.working,
            measured=f"{zs} Ω",
            limit=f"{two_places(limit.ohm)} Ω",
        )
    elif not within:
        yield _over_limit(case, limit)
    elif limit.cold_ohm is not None and zs.at_most(limit.cold_ohm) is False:
        yield _over_cold_limit(case, limit, limit.cold_ohm)


def _against_typed_limit(case: Case, unknown: CannotTell) -> Iterator[Finding]:
    zs, typed = case.readings.zs, positive(case.circuit.max_zs_ohm)
    if typed is None:
        yield found(
            Code.ZS_LIMIT_UNKNOWN,
            "zs",
            Severity.INCOMPLETE,
            f"Zs cannot be judged: {unknown.reason}.",
            case.edition.loop.c_min.source,
        )
    elif zs.at_most(typed) is False:
        yield _over_limit(case, MaxZs(typed, None, "", Source("maximum Zs as typed for the circuit")))


def _over_limit(case: Case, limit: MaxZs) -> Finding:
    zs = case.readings.zs
    shown = beside(limit.ohm, zs)
    cold = {} if limit.cold_ohm is None else {"limit_cold": f"{two_places_down(limit.cold_ohm)} Ω"}
    by_rcd = None if limit.by_rcd else residual_max_zs(case.circuit, case.edition)
    if by_rcd is not None and zs.at_most(by_rcd.ohm):
        return found(
            Code.ZS_RELIES_ON_RCD,
            "zs",
            Severity.LOOK_INTO,
            f"Zs {zs} Ω is above {shown} Ω for the device; only the RCD disconnects an earth fault in time.",
            limit.source,
            working=f"{limit.working}; RCD: {by_rcd.working}",
            measured=f"{zs} Ω",
            limit=f"{shown} Ω",
            **cold,
            limit_of_the_RCD=f"{two_places(by_rcd.ohm)} Ω",
        )
    return found(
        Code.ZS_OVER_LIMIT,
        "zs",
        Severity.OUT_OF_LIMIT,
        f"Zs {zs} Ω is above {shown} Ω.",
        limit.source,
        working=limit.working,
        measured=f"{zs} Ω",
        limit=f"{shown} Ω",
        **cold,
    )


def _over_cold_limit(case: Case, limit: MaxZs, cold_ohm: Decimal) -> Finding:
    zs, factor = case.readings.zs, case.edition.loop.cold_factor
    shown = two_places_down(cold_ohm)
    if zs.value is not None and zs.value <= Decimal(shown):  # the two would look equal
        shown = f"{cold_ohm:.4f}"
    return found(
        Code.ZS_OVER_COLD_LIMIT,
        "zs",
        Severity.LOOK_INTO,
        f"Zs {zs} Ω is above {shown} Ω for a cold cable; warm, it may exceed {two_places(limit.ohm)} Ω.",
        factor.source,
        working=f"{limit.working}; × {plain(factor.number)} = {shown} Ω",
        measured=f"{zs} Ω",
        limit_cold=f"{shown} Ω",
        limit=f"{two_places(limit.ohm)} Ω",
    )


def electrode_stability(case: Case) -> Iterator[Finding]:
    """On a TT supply, an electrode of high resistance may not stay what it was measured."""
    zs, above = case.readings.zs, case.edition.loop.unstable_above_ohm
    if case.supply.earthing is not Earthing.TT or above is None or zs.at_most(above.number) is not False:
        return
    yield found(
        Code.ZS_UNSTABLE_ELECTRODE,
        "zs",
        Severity.LOOK_INTO,
        f"Zs {zs} Ω is above {plain(above.number)} Ω: the electrode may change as the soil dries or freezes.",
        above.source,
        measured=f"{zs} Ω",
        advised=f"{plain(above.number)} Ω",
    )


def typed_limit(case: Case) -> Iterator[Finding]:
    """The maximum Zs written in the schedule against the one this edition gives."""
    typed = positive(case.circuit.max_zs_ohm)
    limit = max_zs(case.circuit, case.supply, case.edition)
    if typed is None or isinstance(limit, CannotTell):
        return
    shown = (two_places(limit.ohm), two_places_down(limit.ohm))
    cold = () if limit.cold_ohm is None else (two_places(limit.cold_ohm), two_places_down(limit.cold_ohm))
    if two_places(typed) in shown + cold:
        return
    yield found(
        Code.ZS_LIMIT_TYPED_DIFFERS,
        "max_zs_ohm",
        Severity.NOTE,
        f"Max Zs is typed as {plain(typed)} Ω; {case.edition} gives {two_places(limit.ohm)} Ω.",
        limit.source,
        working=limit.working,
        typed=f"{plain(typed)} Ω",
        limit=f"{two_places(limit.ohm)} Ω",
    )
