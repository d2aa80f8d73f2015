"""Current that the registered loads pass to earth in normal service: what an RCD sees all day."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from inspections.models import Circuit
from remedies.enums import Connection, LoadState
from remedies.models import ParallelLoad
from remedies.physics.stray_voltage import admittance


def standing_leakage_ma(circuits: Iterable[Circuit]) -> dict[int, Decimal]:
    """Milliamperes to earth by circuit id, of circuits with loads in place from line to earth whose values
    are known. Loads add as phasors: capacitive currents arithmetically, in quadrature to resistive ones. One
    query."""
    loads = ParallelLoad.objects.filter(
        circuit__in=circuits, connection=Connection.L_E, state=LoadState.IN_PLACE
    ).select_related("circuit__board__installation")
    current_a: dict[int, complex] = defaultdict(complex)
    for load in loads:
        supply = load.circuit.board.installation
        one = admittance(_resistance_ohm(load), float(load.capacitance_uf or 0) / 1e6, supply.frequency_hz)
        current_a[load.circuit_id] += load.count * one * supply.nominal_voltage_v
    return {
        circuit: Decimal(f"{abs(current) * 1000:.3f}") for circuit, current in current_a.items() if current
    }


def _resistance_ohm(load: ParallelLoad) -> float:
    """What conducts beside its capacitance; infinite where nothing is known to."""
    if load.capacitance_uf is not None:
        return float(load.discharge_resistor_ohm or "inf")
    return float((load.resistance_ohm or Decimal("inf")) * load.resistors_in_series)
