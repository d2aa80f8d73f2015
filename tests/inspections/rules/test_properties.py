"""What must hold whatever is typed: no check raises, and worse readings never look better."""

from dataclasses import fields, replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.columns import BY_NAME, READINGS
from inspections.rules import edition, engine, insulation, loop, thermal
from inspections.rules.facts import (
    READING_COLUMNS,
    TICK_COLUMNS,
    BoardFacts,
    Case,
    CircuitFacts,
    CircuitReadings,
    Conductor,
    ConductorInsulation,
    Earthing,
    InstrumentFacts,
    PastResult,
    Serves,
    SupplyFacts,
    Waveform,
)
from inspections.rules.finding import Code, Finding, Severity
from inspections.rules.observations import TEXTS, suggested_observation
from inspections.rules.readings import Reading, Relation

EDITIONS = [edition.load(key) for key in edition.available()]
BS7671 = edition.load("bs7671_2018_a2_2022")
HOUSE = SupplyFacts(Earthing.TN_S, u0_v=Decimal(230))

digits = st.from_regex(r"[0-9]{1,6}(\.[0-9]{1,4})?", fullmatch=True)
words = st.sampled_from(["", "LIM", "N/V", "N/A", "✓", "✗"])
readings = st.one_of(words, digits, digits.map("<{}".format), digits.map(">{}".format)).map(Reading.parse)
numbers = st.none() | st.decimals(0, 10000, places=2, allow_nan=False, allow_infinity=False)
sizes = st.none() | st.sampled_from([Decimal(s) for s in ("0", "1", "1.5", "2.5", "4", "10", "3.3")])
typed = st.one_of(
    st.sampled_from(["", "60898", "BS EN 61009-1", "3036", "88-3", "1361", "60947-2", "61008", "4293"]),
    st.text(max_size=12),
)
types = st.one_of(
    st.sampled_from(["", "B", "C", "Type D", "S", "AC", "A S", "gG", "II"]), st.text(max_size=8)
)
maybe = st.booleans()


def some(values):
    return st.none() | st.sampled_from(list(values))


circuits = st.builds(
    CircuitFacts,
    description=st.sampled_from(["", "Spare", "Ring, kitchen"]),
    points=st.none() | st.integers(0, 40),
    live_csa_mm2=sizes, cpc_csa_mm2=sizes, disconnection_time_s=numbers,
    device_standard=typed, device_type=types, device_rating_a=numbers | st.just(Decimal(32)),
    breaking_capacity_ka=numbers, max_zs_ohm=numbers,
    rcd_standard=typed, rcd_type=types, rcd_residual_ma=numbers,
    ring=maybe, three_phase=maybe, nominal_voltage_v=numbers, is_selv_or_pelv=maybe, serves=some(Serves),
    serves_lighting=some([True, False]), has_afdd=maybe, length_m=numbers,
    conductor=st.sampled_from(Conductor), flexible=maybe,
    conductor_insulation=some(ConductorInsulation), cpc_in_cable=maybe,
    conductor_temperature_c=st.none() | st.integers(-20, 90).map(Decimal), design_current_a=numbers,
    equipment_connected=some([True, False]), standing_leakage_ma=numbers, waveform=some(Waveform),
)  # fmt: skip
rows = st.builds(
    CircuitReadings,
    **dict.fromkeys(READING_COLUMNS, readings),
    ir_voltage_v=some(map(Decimal, (0, 250, 500, 1000))),
)
supplies = st.builds(
    SupplyFacts, earthing=some(Earthing), three_phase=maybe, u0_v=some(map(Decimal, (0, 120, 230, 400))),
    ze_ohm=readings, ipf_ka=readings,
)  # fmt: skip
boards = st.builds(
    BoardFacts,
    three_phase=maybe,
    zdb_ohm=readings,
    ipf_ka=readings,
    ir_live_live=readings,
    ir_live_earth=readings,
)
days = st.dates(date(1990, 1, 1), date(2040, 1, 1))
instruments = st.builds(InstrumentFacts, st.just("Tester"), st.none() | days, numbers)
past = st.builds(PastResult, days, rows, readings, st.none() | st.sampled_from(EDITIONS))
cases = st.builds(
    Case, circuits, rows, st.sampled_from(EDITIONS), supplies, boards,
    covered=st.frozensets(st.sampled_from(READING_COLUMNS)),
    instruments=st.lists(instruments, max_size=2).map(tuple), past=st.lists(past, max_size=4).map(tuple),
    on=st.none() | days,
)  # fmt: skip


def is_sound(finding: Finding) -> bool:
    """Stands beside a column there is, in words, with a source."""
    return (
        (finding.column is None or finding.column in BY_NAME)
        and 10 < len(finding.summary) < 200
        and finding.source != ""
        and "E+" not in finding.summary
    )


@settings(max_examples=150)
@given(cases)
def test_no_check_raises_and_every_finding_is_sound(case):
    findings = engine.check_circuit(case)
    assert [f for f in findings if not is_sound(f)] == []
    ranks = [finding.severity.rank for finding in findings]
    assert ranks == sorted(ranks)
    for finding in findings:
        text = suggested_observation(finding, "DB1, circuit 3")
        assert text.startswith("DB1, circuit 3: ") if finding.code in TEXTS else text == ""


@settings(max_examples=50)
@given(boards, st.lists(cases, max_size=4), supplies, st.lists(instruments, max_size=3), days)
def test_no_check_of_a_board_or_a_visit_raises(board, circuits, supply, tools, on):
    for known in EDITIONS:
        findings = (
            *engine.check_board(board, circuits, known),
            *engine.check_inspection(supply, tools, on, known),
        )
        assert [f for f in findings if not is_sound(f) or f.column is not None] == []


@settings(max_examples=50)
@given(cases)
def test_a_spare_way_that_is_left_blank_says_nothing(case):
    spare = CircuitFacts(designation="6", description="Spare")
    assert engine.check_circuit(replace(case, circuit=spare, readings=CircuitReadings(), past=())) == ()


ohms = st.decimals(Decimal("0.01"), Decimal(50), places=2)


def worst(findings) -> int:
    return min((finding.severity.rank for finding in findings), default=len(Severity))


@given(ohms, ohms, st.sampled_from([6, 16, 32]), st.sampled_from("BCD"))
def test_a_higher_zs_never_looks_better(one, other, rating, device_type):
    low, high = sorted((one, other))
    circuit = CircuitFacts(device_standard="60898", device_type=device_type, device_rating_a=Decimal(rating))
    case = Case(circuit, CircuitReadings(), BS7671, HOUSE)
    ranks = [
        worst(loop.zs_against_limit(replace(case, readings=CircuitReadings(zs=Reading.measured(zs)))))
        for zs in (low, high)
    ]
    assert ranks[1] <= ranks[0]


@given(ohms, ohms, st.sampled_from(list(Relation)))
def test_a_lower_insulation_never_looks_better(one, other, relation):
    low, high = sorted((one, other))
    case = Case(CircuitFacts(), CircuitReadings(), BS7671, HOUSE)
    ranks = [
        worst(
            insulation.minimum(
                replace(case, readings=CircuitReadings(ir_live_earth=Reading.measured(mohm, relation)))
            )
        )
        for mohm in (low, high)
    ]
    assert ranks[0] <= ranks[1]


@given(st.integers(1, 125), st.integers(1, 125), st.sampled_from("BCD"), st.sampled_from(["0.4", "5"]))
def test_a_larger_breaker_asks_for_a_smaller_zs(one, other, device_type, seconds):
    limits = [
        loop.max_zs(
            CircuitFacts(
                device_standard="60898", device_type=device_type, device_rating_a=Decimal(rating),
                disconnection_time_s=Decimal(seconds),
            ),
            HOUSE,
            BS7671,
        ).ohm
        for rating in sorted((one, other))
    ]  # fmt: skip
    assert limits[0] >= limits[1]


@pytest.mark.parametrize("standard", ["88-2", "88-3", "3036", "1361", "1362"])
def test_a_larger_fuse_and_a_shorter_time_ask_for_a_smaller_zs(standard):
    (kind,) = [kind for kind in BS7671.devices if standard in kind.spellings]
    for table in kind.tables:
        ohms_by_rating = [table.ohm[rating] for rating in sorted(table.ohm)]
        assert ohms_by_rating == sorted(ohms_by_rating, reverse=True)
    fast, slow = sorted(kind.tables, key=lambda table: table.seconds)
    assert all(fast.ohm[rating] < slow.ohm[rating] for rating in fast.ohm)


@given(ohms, ohms, st.integers(76, 176))
def test_more_current_or_time_asks_for_a_larger_cpc(one, other, k):
    low, high = sorted((one, other))
    assert thermal.least_csa_mm2(low, low, Decimal(k)) <= thermal.least_csa_mm2(high, low, Decimal(k))
    assert thermal.least_csa_mm2(low, low, Decimal(k)) <= thermal.least_csa_mm2(low, high, Decimal(k))


@given(st.lists(st.decimals(Decimal("0.01"), Decimal(999), places=2), min_size=1, max_size=12))
def test_a_whole_board_reads_no_more_than_its_lowest_circuit(values):
    assert insulation.parallel(values) <= min(values) * (1 + Decimal("1E-20"))  # the last digits kept


def test_names_are_those_of_the_schedules():
    """Every reading column has its field here, and every detail of the schedule its field in the circuit."""
    assert set(READING_COLUMNS) == {column.name for column in READINGS}
    of_circuit, of_readings = ({f.name for f in fields(kind)} for kind in (CircuitFacts, CircuitReadings))
    assert set(BY_NAME) <= of_circuit | of_readings
    assert of_readings <= set(BY_NAME)
    assert {"polarity", "rcd_button", "afdd_button"} == TICK_COLUMNS


def test_observation_texts_belong_to_findings_that_are_no_slips_of_entry():
    slips = {code for code in Code if code.startswith(("perhaps-", "missing-", "above-range", "at-range"))}
    assert not slips & set(TEXTS)
    assert {Code.INSULATION_LOW, Code.ZS_OVER_LIMIT, Code.RCD_SLOW, Code.CPC_OPEN, Code.NOT_CORRECT} <= set(
        TEXTS
    )
