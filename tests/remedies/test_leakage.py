"""Standing current to earth of the registered loads, and what the checks make of it."""

from decimal import Decimal

import pytest

from inspections.rules.finding import Code
from inspections.selectors import board_record
from remedies.enums import Connection, LoadKind, LoadState
from remedies.leakage import standing_leakage_ma
from tests.factories import CircuitFactory, InspectionFactory, ParallelLoadFactory

pytestmark = pytest.mark.django_db


def to_earth(circuit, **fields):
    return ParallelLoadFactory(
        circuit=circuit, kind=LoadKind.CAPACITOR, connection=Connection.L_E, capacitor_class="Y2", **fields
    )


def test_capacitors_and_resistors_add_in_quadrature():
    circuit = CircuitFactory()
    # 2 × 0.047 µF at 230 V, 50 Hz: 2π·50·0.094e-6·230 = 6.792 mA; 230 V across 47 kΩ: 4.894 mA;
    # √(6.792² + 4.894²) = 8.371 mA
    to_earth(circuit, capacitance_uf="0.047", count=2)
    ParallelLoadFactory(
        circuit=circuit, kind=LoadKind.RESISTOR, connection=Connection.L_E, resistance_ohm=47000
    )
    assert standing_leakage_ma([circuit])[circuit.pk] == pytest.approx(Decimal("8.371"), abs=Decimal("0.002"))


def test_loads_between_live_conductors_and_those_taken_out_of_circuit_do_not_leak():
    circuit = CircuitFactory()
    ParallelLoadFactory(circuit=circuit, capacitance_uf="0.1", connection=Connection.L_N)
    to_earth(circuit, capacitance_uf="0.1", state=LoadState.DISCONNECTED)
    assert standing_leakage_ma([circuit]) == {}


@pytest.mark.parametrize(("count", "found"), [(1, False), (2, True)])
def test_more_than_30_percent_of_the_residual_current_is_found(count, found):
    """BS 7671 531.3.2: 30 % of 30 mA is 9 mA. One 0.1 µF passes 7.23 mA, two pass 14.5 mA."""
    inspection = InspectionFactory()
    circuit = CircuitFactory(
        board__installation=inspection.installation, rcd_residual_ma=30, rcd_type="A", device_standard="61009"
    )
    to_earth(circuit, capacitance_uf="0.1", count=count)
    findings = board_record(inspection, circuit.board).findings()[circuit.pk]
    assert (Code.RCD_STANDING_LEAKAGE in {finding.code for finding in findings}) is found
