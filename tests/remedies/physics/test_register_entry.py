"""Parts made from register entries, whatever the entry leaves out."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remedies.physics.parts import (
    Basis,
    CapacitorClass,
    Connection,
    Electronics,
    Kind,
    LoadModule,
    Neon,
    Part,
    Path,
    RcNetwork,
    Resistor,
    SuppressionCapacitor,
    SurgeProtection,
    WoundTransformer,
    describe,
)
from remedies.physics.quantity import Span
from remedies.physics.register_entry import RegisterEntry, from_register


@pytest.mark.parametrize("kind", list(Kind))
def test_an_entry_with_a_kind_alone_gives_a_part_that_says_what_was_filled_in(kind: Kind) -> None:
    part = from_register(RegisterEntry(kind))
    assert part.kind is kind
    assert part.notes
    assert all(note.text and note.basis in Basis for note in part.notes)
    assert kind.label in describe(part)


@pytest.mark.parametrize("kind", [kind for kind in Kind if kind is not Kind.SURGE_PROTECTION])
def test_a_filled_in_value_is_a_range(kind: Kind) -> None:
    part = from_register(RegisterEntry(kind))
    span = part.charging_f or (part.path and part.path.resistance_ohm)
    assert isinstance(span, Span)
    assert span.high >= 1.5 * span.low


def test_a_recorded_resistor_keeps_its_value_within_five_per_cent() -> None:
    part = from_register(RegisterEntry("resistor", resistance_ohm=47_000, rated_w=1, working_v=400))
    assert isinstance(part, Resistor)
    assert part.total_ohm == Span(44_650, 47_000, 49_350)
    assert (part.rated_w, part.working_v, part.notes) == (1, 400, ())


def test_resistors_in_series_add_up() -> None:
    part = from_register(RegisterEntry("resistor", resistance_ohm=100_000, in_series=3, tolerance=0.01))
    assert isinstance(part, Resistor)
    assert part.total_ohm.typical == 300_000
    assert part.path == Path(Span(297_000, 300_000, 303_000))


def test_a_recorded_capacitor_keeps_class_rating_and_discharge_resistor() -> None:
    part = from_register(
        RegisterEntry(
            "suppression_capacitor",
            capacitance_uf=0.1,
            rated_v=310,
            capacitor_class="X2",
            discharge_ohm=1e6,
            connection="switched L-N",
            count=2,
            name="landing",
        )
    )
    assert isinstance(part, SuppressionCapacitor)
    assert part.capacitance_f.typical == pytest.approx(0.1e-6)
    assert (part.rated_v, part.safety_class) == (310, CapacitorClass.X2)
    assert part.path is not None
    assert part.path.resistance_ohm.typical == 1e6
    assert part.connection is Connection.SWITCHED_LINE_NEUTRAL
    assert part.notes == ()
    assert describe(part) == "2 × landing, 0.1 µF with 1 MΩ across it each"


def test_a_capacitor_without_discharge_resistor_passes_no_direct_current() -> None:
    part = from_register(RegisterEntry("suppression_capacitor", capacitance_uf=0.1))
    assert part.path is None
    assert part.varistor is None


def test_an_rc_network_passes_direct_current_only_through_a_discharge_resistor() -> None:
    plain = from_register(RegisterEntry("rc_network", resistance_ohm=100, capacitance_uf=0.1))
    bled = from_register(
        RegisterEntry("rc_network", resistance_ohm=100, capacitance_uf=0.1, discharge_ohm=1e6)
    )
    assert isinstance(plain, RcNetwork)
    assert plain.path is None
    assert bled.path is not None
    assert bled.path.resistance_ohm.typical == 1_000_100


# Varistor voltage at 1 mA d.c. by Uc: 275 V parts are 430 V ± 10 % (387 V to 473 V), 300 V parts 470 V
# (published data, value from memory for 320 V: 510 V).
@pytest.mark.parametrize(("continuous_v", "volts"), [(275, 430), (300, 470), (320, 510)])
def test_a_varistor_takes_its_published_voltage(continuous_v: float, volts: float) -> None:
    part = from_register(RegisterEntry("surge_protection", continuous_v=continuous_v))
    assert part.varistor is not None
    assert part.varistor.volts_at_1ma.typical == volts
    assert part.varistor.volts_at_1ma.low == pytest.approx(0.9 * volts)
    assert part.varistor.volts_at_1ma.high == pytest.approx(1.1 * volts)


def test_a_varistor_of_another_rating_follows_the_common_ratio_and_says_it_is_assumed() -> None:
    part = from_register(RegisterEntry("surge_protection", continuous_v=385))
    assert part.varistor is not None
    assert 385 * 1.55 < part.varistor.volts_at_1ma.typical < 385 * 1.6
    assert [note.basis for note in part.notes] == [Basis.ASSUMED]


def test_a_gas_gap_stays_open() -> None:
    assert from_register(RegisterEntry("surge_protection", gap=True)).varistor is None


# Primary resistance of 230 V toroids by size (value from memory, no table found).
@pytest.mark.parametrize(
    ("rated_va", "ohm"), [(15, 200), (30, 97), (50, 52), (80, 31), (120, 16), (160, 11), (225, 7.5), (300, 5)]
)
def test_a_winding_follows_from_its_size(rated_va: float, ohm: float) -> None:
    part = from_register(RegisterEntry("wound_transformer", rated_va=rated_va))
    assert isinstance(part, WoundTransformer)
    assert ohm in part.winding_ohm


# Power at 230 V: 10 kΩ 5.3 W, 47 kΩ 1.13 W, 100 kΩ 0.53 W (P = U²/R).
@pytest.mark.parametrize(("rated_w", "ohm"), [(5.29, 10e3), (1.1255, 47e3), (0.529, 100e3)])
def test_a_load_module_follows_from_its_watts(rated_w: float, ohm: float) -> None:
    part = from_register(RegisterEntry("load_module", rated_w=rated_w))
    assert isinstance(part, LoadModule)
    assert part.resistance_ohm.typical == pytest.approx(ohm, rel=0.001)
    assert "resistive" in part.notes[0].text


def test_neon_defaults_hold_the_published_lamps() -> None:
    # Striking d.c. at most 90 V (standard) or 135 V (high brightness), maintaining 60 V to 70 V:
    # W. G. Miller, Using and Understanding Miniature Neon Lamps (1969).
    part = from_register(RegisterEntry("accessory_neon"))
    assert isinstance(part, Neon)
    assert 90 in part.strike_v
    assert 135 in part.strike_v
    assert 60 in part.maintain_v
    assert 70 in part.maintain_v
    for usual in (150e3, 220e3, 270e3, 330e3, 470e3):
        assert usual in part.series_ohm


@pytest.mark.parametrize("kind", [Kind.DRIVER, Kind.DIMMER, Kind.TIMER, Kind.SENSOR])
def test_electronics_keep_their_kind_and_charge_something(kind: Kind) -> None:
    part = from_register(RegisterEntry(kind, resistance_ohm=330e3))
    assert isinstance(part, Electronics)
    assert part.kind is kind
    assert part.charging_f is not None
    assert part.path is not None
    assert part.path.threshold_v.typical == 1.2


def test_an_unknown_load_may_be_open() -> None:
    part = from_register(RegisterEntry("unknown"))
    assert part.path is not None
    assert math.isinf(part.path.resistance_ohm.high)


@pytest.mark.parametrize(
    ("field", "value"),
    [("resistance_ohm", 0), ("capacitance_uf", -0.1), ("rated_w", 0), ("count", 0), ("in_series", 0)],
)
def test_a_value_not_above_zero_is_refused_by_name(field: str, value: float) -> None:
    with pytest.raises(ValueError, match=f"{field} must be above zero"):
        RegisterEntry("resistor", **{field: value})  # type: ignore[arg-type]


def test_a_word_that_is_no_kind_is_refused() -> None:
    with pytest.raises(ValueError, match="'toaster' is not a valid Kind"):
        from_register(RegisterEntry("toaster"))


@given(
    st.sampled_from(list(Kind)),
    st.one_of(st.none(), st.floats(1, 1e8)),
    st.one_of(st.none(), st.floats(0.001, 100)),
    st.one_of(st.none(), st.floats(0.05, 5000)),
    st.integers(1, 20),
)
def test_any_mixture_of_missing_values_gives_a_part(
    kind: Kind, ohm: float | None, farads_u: float | None, watts: float | None, count: int
) -> None:
    entry = RegisterEntry(
        kind, resistance_ohm=ohm, capacitance_uf=farads_u, rated_w=watts, rated_va=watts, count=count
    )
    part: Part = from_register(entry)
    assert part.count == count
    if part.path:
        assert part.path.resistance_ohm.low > 0
    assert isinstance(part, SurgeProtection) == (kind is Kind.SURGE_PROTECTION)
