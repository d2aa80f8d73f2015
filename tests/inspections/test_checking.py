"""Facts of the record that reach the rules."""

from datetime import timedelta

import pytest

from inspections.enums import CableInsulation, ResidualCurrent
from inspections.rules import facts
from inspections.rules.finding import Code
from inspections.selectors import board_record
from tests.factories import CircuitFactory, CircuitResultFactory, InspectionFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def inspection():
    return InspectionFactory()


def codes(inspection, circuit):
    return {finding.code for finding in board_record(inspection, circuit.board).findings()[circuit.pk]}


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [(CableInsulation, facts.ConductorInsulation), (ResidualCurrent, facts.Waveform)],
)
def test_choices_are_those_of_the_rules(ours, theirs):
    assert [value for value in ours.values if value] == [str(choice.value) for choice in theirs]


@pytest.mark.parametrize(("rcd_type", "unfit"), [("AC", True), ("A", False)])
def test_an_rcd_that_does_not_detect_what_its_load_can_cause_is_found(inspection, rcd_type, unfit):
    """BS 7671 531.3.3: type AC detects sinusoidal residual current only, type A pulsating d.c. too."""
    circuit = CircuitFactory(
        board__installation=inspection.installation,
        device_standard="61009",
        rcd_type=rcd_type,
        rcd_residual_ma=30,
        residual_current=ResidualCurrent.PULSATING,
    )
    assert (Code.RCD_TYPE_UNFIT in codes(inspection, circuit)) is unfit


@pytest.mark.parametrize(("lighting", "found"), [(True, True), (False, False)])
def test_lighting_is_held_to_its_own_voltage_drop(inspection, lighting, found):
    """3 % for lighting, 5 % for other uses (BS 7671 Appendix 4, value from memory). 6 A over 1.5/1 mm² with
    R1+R2 1.90 Ω: line and neutral of 1.5 mm² each 1.90 × 12.1 ÷ (12.1 + 18.1) = 0.76 Ω, hot 0.91 Ω, so
    2 × 0.91 × 6 = 11 V, 4.8 % of 230 V."""
    circuit = CircuitFactory(
        board__installation=inspection.installation,
        device_standard="60898",
        device_type="B",
        device_rating_a=6,
        live_csa_mm2="1.5",
        cpc_csa_mm2="1",
        design_current_a=6,
        serves_lighting=lighting,
    )
    CircuitResultFactory(inspection=inspection, circuit=circuit, r1_r2="1.90")
    assert (Code.VOLTAGE_DROP in codes(inspection, circuit)) is found


@pytest.mark.parametrize("said", [CableInsulation.THERMOPLASTIC, CableInsulation.NOT_SAID])
def test_a_cpc_too_small_for_its_fault_is_found_where_its_insulation_is_known(inspection, said):
    """Adiabatic equation, IEC 60364-5-54: a fuse of 100 A BS 88-2 with a 1 mm² cpc lets through far more than
    115² × 1² A²s."""
    circuit = CircuitFactory(
        board__installation=inspection.installation,
        device_standard="BS 88-2",
        device_rating_a=100,
        live_csa_mm2="25",
        cpc_csa_mm2="1",
        disconnection_time_s=5,
        conductor_insulation=said,
    )
    CircuitResultFactory(inspection=inspection, circuit=circuit, zs="0.40")
    assert (Code.CPC_THERMALLY_SMALL in codes(inspection, circuit)) is bool(said)


def test_a_reading_that_the_edition_of_the_last_visit_allowed_says_so(inspection):
    """B32 at 230 V: 1.44 Ω by IEC 60364-4-41, 411.4.4; with the factor 0.95 of BS 7671, 1.37 Ω."""
    circuit = CircuitFactory(
        board__installation=inspection.installation,
        device_standard="60898",
        device_type="B",
        device_rating_a=32,
    )
    before = InspectionFactory(
        installation=inspection.installation,
        started_on=inspection.started_on - timedelta(days=730),
        edition="iec60364_6_2016",
    )
    for visit in (before, inspection):
        CircuitResultFactory(inspection=visit, circuit=circuit, zs="1.40")
    assert Code.LIMIT_CHANGED in codes(inspection, circuit)
    assert Code.LIMIT_CHANGED not in codes(before, circuit)
