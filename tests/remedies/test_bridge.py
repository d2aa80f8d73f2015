"""Rows to physics and back: figures of the physics' own sources, put in as a person types them."""

from decimal import Decimal

import pytest

from inspections.rules.readings import Reading
from remedies import bridge
from remedies.enums import Connection, LoadKind
from remedies.models import ParallelLoad
from remedies.physics import parts
from remedies.physics.explanation import Verdict
from remedies.physics.measured import Settling
from tests.factories import CircuitResultFactory, InspectionFactory, InstrumentFactory, ParallelLoadFactory


def load(kind, **fields):
    return ParallelLoad(kind=kind, place="Pantry", **fields)


@pytest.fixture
def strong_tester():
    """Gives 15 mA, so that a reading is taken at the nominal voltage."""
    return InstrumentFactory.build(insulation_current_ma=Decimal("15"), insulation_range_top_mohm=500)


@pytest.mark.parametrize("kind", LoadKind)
def test_every_kind_is_known_to_the_physics_with_nothing_but_its_kind(kind):
    assert bridge.part(load(kind)).count == 1


@pytest.mark.parametrize("connection", Connection)
def test_every_connection_is_known_to_the_physics(connection):
    part = bridge.part(load(LoadKind.NEON, connection=connection))

    assert part.connection.value.endswith(connection.value.removeprefix("S"))


def test_values_come_over_in_the_units_of_the_physics():
    part = bridge.part(
        load(
            LoadKind.CAPACITOR,
            count=2,
            capacitor_class="X2",
            capacitance_uf=Decimal("0.1"),
            discharge_resistor_ohm=Decimal("1000000"),
            rated_voltage_v=275,
            tolerance_percent=Decimal("10"),
        )
    )

    assert part.count == 2
    assert part.capacitance_f.typical == pytest.approx(0.1e-6)
    assert part.capacitance_f.low == pytest.approx(0.09e-6)
    assert part.discharge_ohm.typical == 1e6
    assert (part.rated_v, part.safety_class) == (275.0, parts.CapacitorClass.X2)


def test_rated_values_mean_what_they_mean_to_the_kind():
    resistor = bridge.part(load(LoadKind.RESISTOR, rated_voltage_v=350, rated_power_w=Decimal("1")))
    surge = bridge.part(load(LoadKind.SURGE, rated_voltage_v=320))
    transformer = bridge.part(load(LoadKind.TRANSFORMER, rated_power_w=Decimal("50")))

    assert (resistor.working_v, resistor.rated_w) == (350.0, 1.0)
    assert surge.continuous_v == 320.0
    assert transformer.rated_va == 50.0


@pytest.mark.parametrize(
    ("volts", "published_mohm"),
    [(250, Decimal("0.306")), (500, Decimal("0.256"))],
    # Rs·U/(U − Um) with Um 70 V d.c.: 220 kΩ reads 306 kΩ at 250 V, 256 kΩ at 500 V. Maintaining voltage:
    # W. G. Miller, Using and Understanding Miniature Neon Lamps, 1969.
)
def test_a_neon_reads_what_its_law_says(strong_tester, volts, published_mohm):
    neon = load(LoadKind.NEON, resistance_ohm=Decimal("220000"))

    expected = bridge.expected_reading_for([neon], volts, strong_tester)

    assert expected.low_mohm < published_mohm < expected.high_mohm
    assert expected.voltage_text == f"Taken at {volts} V."


def test_an_instrument_of_unknown_current_widens_the_range(strong_tester):
    neons = [load(LoadKind.NEON, resistance_ohm=Decimal("220000"), count=2)]
    weak_tester = InstrumentFactory.build(insulation_current_ma=Decimal("1"), insulation_range_top_mohm=500)
    weak = bridge.expected_reading_for(neons, 500, weak_tester)
    strong = bridge.expected_reading_for(neons, 500, strong_tester)

    unknown = bridge.expected_reading_for(neons, 500)

    assert (unknown.low_mohm, unknown.high_mohm) == (strong.low_mohm, weak.high_mohm)
    assert unknown.assumptions[0] == "tester: its current limit is not recorded, taken as 1 mA to 15 mA"


def test_a_capacitor_alone_ends_at_the_cable_and_stays_charged(strong_tester):
    capacitor = load(LoadKind.CAPACITOR, capacitor_class="X2", capacitance_uf=Decimal("0.1"))

    expected = bridge.expected_reading_for([capacitor], 500, strong_tester)

    assert (expected.low_mohm, expected.text) == (Decimal("2.00"), "2.00 to >500")
    assert expected.charges
    assert bridge.holds_charge(capacitor)
    assert not bridge.passes_current(capacitor)


def test_a_load_to_earth_shows_on_the_test_to_earth(strong_tester):
    leak = load(LoadKind.RESISTOR, resistance_ohm=Decimal("500000"), connection=Connection.L_E)

    to_earth = bridge.expected_reading_for([leak], 500, strong_tester, to_earth=True)

    # 500 kΩ ± 5 %, beside 2 MΩ of cable at the least: 1/(1/475k + 1/2M) = 384 kΩ and 525 kΩ.
    assert (to_earth.low_mohm, to_earth.high_mohm) == (Decimal("0.38"), Decimal("0.52"))


def test_a_load_between_lines_shows_live_live(strong_tester):
    between_lines = load(LoadKind.RESISTOR, resistance_ohm=Decimal("500000"), connection=Connection.L_L)

    assert bridge.expected_reading_for([between_lines], 500, strong_tester).high_mohm == Decimal("0.52")


@pytest.mark.parametrize(
    ("kind", "fields", "must_come_out"),
    [
        # 4.3 × 275 V = 1182 V d.c. proof between terminals, IEC 60384-14: 500 V does not overstress it.
        (LoadKind.CAPACITOR, {"capacitor_class": "X2", "rated_voltage_v": 275}, False),
        # BS 7671 643.3.2: electronics and surge protection are disconnected first.
        (LoadKind.DRIVER, {}, True),
        (LoadKind.SURGE, {"rated_voltage_v": 275}, True),
        (LoadKind.DIMMER, {}, True),
    ],
)
def test_what_must_be_disconnected_before_500_v(kind, fields, must_come_out):
    (ruling,) = bridge.rulings([load(kind, **fields)], 500)

    assert ruling.must_come_out == must_come_out
    assert bool(bridge.must_be_disconnected([load(kind, **fields)])) == must_come_out
    assert ruling.reason
    assert ruling.source


@pytest.mark.django_db
class TestExplanation:
    def test_a_reading_that_the_registered_load_accounts_for_is_explained(self):
        neon = ParallelLoadFactory(kind=LoadKind.NEON, resistance_ohm=220_000)
        result = CircuitResultFactory(circuit=neon.circuit, ir_live_live="0.26", ir_voltage_v=500)

        explanation = bridge.explanation_for(result, [neon], InstrumentFactory(insulation_current_ma=15))

        assert explanation.verdict is Verdict.EXPLAINED

    def test_a_low_reading_with_nothing_registered_is_not(self):
        result = CircuitResultFactory(ir_live_live="0.22", ir_voltage_v=500)

        assert bridge.explanation_for(result, []).verdict is Verdict.LOWER

    def test_a_high_reading_says_that_a_load_is_not_there(self):
        neon = ParallelLoadFactory(kind=LoadKind.NEON, resistance_ohm=220_000)
        result = CircuitResultFactory(circuit=neon.circuit, ir_live_live=">200")

        assert bridge.explanation_for(result, [neon]).verdict is Verdict.HIGHER

    def test_a_second_reading_and_the_climbing_are_taken_in(self):
        result = CircuitResultFactory(ir_live_live="0.22", ir_voltage_v=500)

        explanation = bridge.explanation_for(
            result,
            [],
            InstrumentFactory(insulation_current_ma=15),
            settling=Settling.CLIMBED,
            second=(Reading.parse(">200"), 250),
        )

        assert explanation.unregistered_capacitance
        assert explanation.shares[0].law.value == "a varistor"

    def test_a_tester_of_unknown_current_explains_what_either_end_of_its_range_explains(self):
        """Two neons of 220 kΩ and a tester that gives 15 mA: 500 V ÷ (2 × 430 V ÷ 220 kΩ) = 0.128 MΩ. One
        that gives 1 mA is held at 70 V + 1 mA × 110 kΩ = 180 V and shows 0.18 MΩ. Maintaining voltage 70 V
        d.c.: W. G. Miller, Using and Understanding Miniature Neon Lamps, 1969. A reading of 0.08 MΩ may be
        0.085 ÷ 0.7 = 0.12 MΩ (30 % by IEC 61557-2): within reach of the first, never of the second."""
        neons = ParallelLoadFactory(kind=LoadKind.NEON, resistance_ohm=220_000, count=2, tolerance_percent=1)
        result = CircuitResultFactory(circuit=neons.circuit, ir_live_live="0.08", ir_voltage_v=500)
        weak, strong = (InstrumentFactory(insulation_current_ma=ma) for ma in (1, 15))
        assert bridge.explanation_for(result, [neons], weak).verdict is Verdict.LOWER
        assert bridge.explanation_for(result, [neons], strong).verdict is Verdict.EXPLAINED

        unknown = bridge.explanation_for(result, [neons])

        assert unknown.verdict is Verdict.EXPLAINED
        assert "current limit is not recorded. This holds for one that gives 15 mA" in unknown.lines[0]
        assert "1 mA the reading is lower" in unknown.lines[0]

    def test_of_two_readings_the_one_that_is_not_explained_is_explained_whichever_came_first(self):
        """A varistor is open at 250 V and conducts at 500 V: hence the 250 V of BS 7671 643.3.2."""
        result = CircuitResultFactory(ir_live_live=">200", ir_voltage_v=250)

        explanation = bridge.explanation_for(
            result, [], InstrumentFactory(insulation_current_ma=15), second=(Reading.parse("0.22"), 500)
        )

        assert explanation.verdict is Verdict.LOWER
        assert explanation.shares[0].law.value == "a varistor"

    @pytest.mark.parametrize("reading", ["", "LIM", "N/V"])
    def test_what_was_not_measured_is_not_explained(self, reading):
        assert bridge.explanation_for(CircuitResultFactory(ir_live_live=reading), []) is None


@pytest.mark.django_db
def test_the_tester_of_a_visit_is_one_whose_range_is_known():
    plain = InstrumentFactory(measures="multifunction")
    known = InstrumentFactory(firm=plain.firm, measures="insulation", insulation_range_top_mohm=1000)
    other = InstrumentFactory(firm=plain.firm, measures="loop")
    visit = InspectionFactory(installation__client__firm=plain.firm, instruments=[plain, known, other])

    assert bridge.insulation_tester_of(visit) == known
    assert bridge.insulation_tester_of(None) is None
    assert bridge.insulation_tester(known, 250).range_top_mohm == 1000.0
