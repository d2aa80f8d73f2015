"""What must hold for any mixture of loads, whatever their values."""

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remedies.physics.direct_current import current_at
from remedies.physics.insulation_test import SOUND_CABLE_MOHM, ExpectedReading, expected_reading
from remedies.physics.parts import Connection, Kind, Part
from remedies.physics.quantity import Span
from remedies.physics.register_entry import RegisterEntry, from_register
from remedies.physics.tester import Between, Tester

SLACK = 1 + 1e-6  # rounding in the last places, and the step at which the solver stops

kinds = st.sampled_from(list(Kind))
connections = st.sampled_from(list(Connection))
testers = st.builds(
    Tester,
    nominal_v=st.sampled_from([50.0, 100.0, 250.0, 500.0, 1000.0]),
    current_limit_a=st.floats(0.001, 0.015),
)
entries = st.builds(
    RegisterEntry,
    kind=kinds,
    count=st.integers(1, 3),
    resistance_ohm=st.one_of(st.none(), st.floats(1e3, 5e6)),
    capacitance_uf=st.one_of(st.none(), st.floats(0.001, 10)),
    discharge_ohm=st.one_of(st.none(), st.floats(1e5, 1e7)),
    continuous_v=st.one_of(st.none(), st.sampled_from([275.0, 300.0, 320.0, 440.0])),
)
parts = entries.map(from_register)
mixtures = st.lists(parts, max_size=4)
neon_mixtures = st.lists(
    st.builds(
        RegisterEntry,
        kind=st.sampled_from([Kind.NEON, Kind.NEON, Kind.RESISTOR, Kind.SURGE_PROTECTION]),
        count=st.integers(1, 2),
        resistance_ohm=st.floats(5e3, 600e3),
    ).map(from_register),
    min_size=1,
    max_size=4,
)
cables = st.builds(
    lambda low, a, b: Span(low, low * a, low * a * b), st.floats(0.5, 100), *[st.floats(1, 50)] * 2
)


def _same(one: ExpectedReading, other: ExpectedReading) -> None:
    for end in ("low", "typical", "high"):
        assert getattr(one.mohm, end) == pytest.approx(getattr(other.mohm, end), rel=1e-6)
        assert getattr(one.terminal_v, end) == pytest.approx(getattr(other.terminal_v, end), rel=1e-6)


@given(cables, mixtures, parts, testers)
def test_adding_a_load_never_raises_the_reading(
    cable: Span, mixture: list[Part], added: Part, tester: Tester
) -> None:
    before = expected_reading(cable, mixture, tester)
    after = expected_reading(cable, [*mixture, added], tester)
    assert after.mohm.low <= before.mohm.low * SLACK
    # Where a neon may or may not light, a load that keeps it dark does raise the typical reading.
    neon_doubt = any("neon" in reason for reason in (*before.reasons, *after.reasons))
    if not neon_doubt:
        assert after.mohm.typical <= before.mohm.typical * SLACK
        assert after.mohm.high <= before.mohm.high * SLACK


@given(cables, neon_mixtures, st.randoms(use_true_random=False), testers)
def test_the_order_of_the_loads_does_not_matter(
    cable: Span, mixture: list[Part], order: random.Random, tester: Tester
) -> None:
    shuffled = list(mixture)
    order.shuffle(shuffled)
    _same(expected_reading(cable, mixture, tester), expected_reading(cable, shuffled, tester))


@given(cables, entries, testers)
def test_a_count_is_that_many_loads(cable: Span, entry: RegisterEntry, tester: Tester) -> None:
    part = from_register(entry)
    single = from_register(RegisterEntry(**{**_fields(entry), "count": 1}))
    _same(expected_reading(cable, [part], tester), expected_reading(cable, [single] * part.count, tester))


def _fields(entry: RegisterEntry) -> dict[str, object]:
    return {name: getattr(entry, name) for name in RegisterEntry.__dataclass_fields__}


@given(cables, st.floats(0.001, 10), testers)
def test_a_capacitor_alone_ends_at_the_cable(cable: Span, microfarad: float, tester: Tester) -> None:
    capacitor = from_register(RegisterEntry("suppression_capacitor", capacitance_uf=microfarad))
    _same(expected_reading(cable, [capacitor], tester), expected_reading(cable, [], tester))


@given(cables, mixtures, testers, st.sampled_from(list(Between)), connections)
def test_every_span_is_in_order_and_the_voltage_within_the_testers(
    cable: Span, mixture: list[Part], tester: Tester, between: Between, connection: Connection
) -> None:
    placed = [from_register(RegisterEntry(part.kind, connection=connection)) for part in mixture]
    expected = expected_reading(cable, [*mixture, *placed], tester, between)
    assert 0 < expected.terminal_v.low <= expected.terminal_v.high <= tester.nominal_v
    assert 0 < expected.mohm.low <= expected.mohm.high <= cable.high * SLACK
    assert 0 <= expected.settle_s.low <= expected.settle_s.high
    assert math.isfinite(expected.settle_s.high)
    assert len(expected.across) + len(expected.not_seen) == len(mixture) + len(placed)
    assert expected.working[-1]


# An independent bench: every value picked at random within its range, neons struck one by one (or, after a
# surge, all lit to begin with), the voltage found by plain bisection. Its readings must lie within the range.


def _pick(span: Span, at_random: random.Random) -> float:
    if math.isinf(span.high):
        return span.typical * 10 ** at_random.uniform(0, 6)
    return at_random.choice([span.low, span.high, at_random.uniform(span.low, span.high)])


class _Bench:
    def __init__(self, cable: Span, mixture: list[Part], tester: Tester, at_random: random.Random) -> None:
        self.tester = tester
        self.fixed = [(_pick(cable, at_random) * 1e6, 0.0)]
        self.lamps: list[tuple[float, float, float]] = []
        self.varistors: list[tuple[float, float]] = []
        for part in mixture:
            for _ in range(part.count):
                self._add(part, at_random)

    def _add(self, part: Part, at_random: random.Random) -> None:
        if part.path:
            ohm = _pick(part.path.resistance_ohm, at_random)
            threshold = _pick(part.path.threshold_v, at_random)
            if part.path.strike_v:
                self.lamps.append((ohm, threshold, _pick(part.path.strike_v, at_random)))
            else:
                self.fixed.append((ohm, threshold))
        if part.varistor:
            law = part.varistor
            self.varistors.append((_pick(law.volts_at_1ma, at_random), _pick(law.exponent, at_random)))

    def amps(self, volts: float, lit: set[int]) -> float:
        lines = self.fixed + [self.lamps[i][:2] for i in lit]
        straight = sum(max(0.0, volts - threshold) / ohm for ohm, threshold in lines)
        return straight + sum(1e-3 * (volts / v1) ** exponent for v1, exponent in self.varistors)

    def volts(self, lit: set[int]) -> float:
        low, high = 0.0, self.tester.nominal_v
        if self.amps(high, lit) <= self.tester.current_limit_a:
            return high
        for _ in range(80):
            middle = (low + high) / 2
            if self.amps(middle, lit) > self.tester.current_limit_a:
                high = middle
            else:
                low = middle
        return low

    def reading(self, lit: set[int]) -> float:
        lit = {i for i in lit if self.volts(lit) > self.lamps[i][1]}
        while True:
            volts = self.volts(lit)
            struck = [(lamp[2], i) for i, lamp in enumerate(self.lamps) if i not in lit and lamp[2] <= volts]
            if not struck:
                return volts / self.amps(volts, lit) * 1e-6
            lit = {*lit, min(struck)[1]}


@given(cables, st.one_of(neon_mixtures, mixtures), testers, st.integers(0, 2**32))
@settings(max_examples=300)
def test_any_values_within_the_ranges_read_within_the_range(
    cable: Span, mixture: list[Part], tester: Tester, seed: int
) -> None:
    at_random = random.Random(seed)
    expected = expected_reading(cable, mixture, tester)
    for _ in range(5):
        bench = _Bench(cable, mixture, tester, at_random)
        for lit in (set(), set(range(len(bench.lamps)))):
            reading = bench.reading(lit)
            assert expected.mohm.low / SLACK <= reading <= expected.mohm.high * SLACK


@given(neon_mixtures, testers, st.integers(0, 2**32))
def test_without_doubt_a_raised_and_a_surged_neon_read_alike(
    mixture: list[Part], tester: Tester, seed: int
) -> None:
    if expected_reading(SOUND_CABLE_MOHM, mixture, tester).uncertain:
        return
    bench = _Bench(SOUND_CABLE_MOHM, mixture, tester, random.Random(seed))
    surged = bench.reading(set(range(len(bench.lamps))))
    assert bench.reading(set()) == pytest.approx(surged, rel=1e-6)


@given(mixtures, st.floats(1, 1000), st.floats(1, 2))
def test_more_voltage_never_passes_less_current(mixture: list[Part], volts: float, factor: float) -> None:
    less, more = current_at(mixture, volts), current_at(mixture, volts * factor)
    assert less.low <= more.low * SLACK
    assert less.typical <= more.typical * SLACK
    assert less.high <= more.high * SLACK
