"""Rows of the record handed to the rules, and findings handed back: the one bridge between the two."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from inspections.enums import (
    Arrangement,
    LimitationScope,
    Phase,
    Phases,
    Serves,
    StandingAnswer,
    VoltageBand,
)
from inspections.models import Board, BoardResult, Circuit, CircuitResult, Inspection
from inspections.rules import edition as editions
from inspections.rules import facts
from inspections.rules.finding import Code, Finding, Severity
from inspections.rules.readings import BLANK

_SERVES = {
    Serves.SOCKETS: facts.Serves.SOCKET_OUTLETS,
    Serves.FIXED: facts.Serves.FIXED_EQUIPMENT,
    Serves.DISTRIBUTION: facts.Serves.DISTRIBUTION,
}
_SAME_NAME = (
    "designation", "description", "wiring_type", "reference_method", "points", "live_csa_mm2", "cpc_csa_mm2",
    "disconnection_time_s", "device_standard", "device_type", "device_rating_a", "breaking_capacity_ka",
    "max_zs_ohm", "rcd_standard", "rcd_type", "rcd_residual_ma", "rcd_rating_a", "length_m",
    "design_current_a",
)  # fmt: skip
_AFDD_STANDARD = "62606"  # BS EN 62606, arc fault detection devices
_READINGS = (*facts.READING_COLUMNS, "instrument_group", "remarks")


@dataclass(frozen=True)
class Note:
    """What the grid says of a cell."""

    summary: str
    is_failure: bool
    asks_for_limitation: bool


class Coverage:
    """Which tests of which circuits the limitations of one inspection cover, by one query."""

    def __init__(self, inspection: Inspection):
        rows = inspection.limitations.exclude(standing_answer=StandingAnswer.LIFTED)
        self._whole, self._boards, self._circuits = set(), defaultdict(set), defaultdict(set)
        for tests, scope, board, circuit in rows.values_list("tests", "scope", "boards", "circuits"):
            if scope == LimitationScope.WHOLE:
                self._whole.update(tests)
            elif scope == LimitationScope.BOARDS:
                self._boards[board].update(tests)
            else:
                self._circuits[circuit].update(tests)

    def of(self, circuit: Circuit) -> frozenset[str]:
        """Names of the result columns covered for ``circuit``."""
        return frozenset(self._whole | self._boards[circuit.board_id] | self._circuits[circuit.pk])


# What leaks to earth in normal service is known to an app this one knows nothing of. It enters here a
# function from circuits to milliamperes by circuit id.
STANDING_LEAKAGE: list[Callable[[Iterable[Circuit]], Mapping[int, Decimal]]] = []


def circuit_facts(
    circuit: Circuit, installation, standing_leakage_ma: Decimal | None = None
) -> facts.CircuitFacts:
    """A circuit of the record as the rules know it."""
    three_phase = circuit.phase == Phase.ALL
    return facts.CircuitFacts(
        **{name: getattr(circuit, name) for name in _SAME_NAME},
        ring=circuit.arrangement == Arrangement.RING,
        phase="" if three_phase else circuit.phase,
        three_phase=three_phase,
        nominal_voltage_v=_nominal_voltage(circuit, installation, three_phase),
        is_selv_or_pelv=circuit.voltage_band in (VoltageBand.SELV, VoltageBand.PELV),
        serves=_SERVES[circuit.serves],
        equipment_connected=circuit.equipment_stays_connected,
        serves_lighting=circuit.serves_lighting,
        conductor_insulation=_known(facts.ConductorInsulation, circuit.conductor_insulation),
        waveform=_known(facts.Waveform, circuit.residual_current),
        has_afdd=_AFDD_STANDARD in circuit.device_standard,
        standing_leakage_ma=standing_leakage_ma,
    )


def _known(kind, value: str):
    """The choice as the rules know it; None when it was not said."""
    return kind(value) if value else None


def _nominal_voltage(circuit, installation, three_phase):
    if circuit.nominal_voltage_v:
        return Decimal(circuit.nominal_voltage_v)
    u0 = Decimal(installation.nominal_voltage_v)
    return (u0 * Decimal(3).sqrt()).quantize(Decimal(1)) if three_phase else u0


def circuit_readings(result: CircuitResult | None) -> facts.CircuitReadings:
    if result is None:
        return facts.CircuitReadings()
    volts = result.ir_voltage_v
    return facts.CircuitReadings(
        **{name: getattr(result, name) for name in _READINGS},
        ir_voltage_v=None if volts is None else Decimal(volts),
    )


def supply_facts(inspection: Inspection) -> facts.SupplyFacts:
    installation = inspection.installation
    return facts.SupplyFacts(
        earthing=facts.Earthing(installation.earthing),
        three_phase=installation.phases == Phases.THREE,
        u0_v=Decimal(installation.nominal_voltage_v),
        frequency_hz=Decimal(installation.frequency_hz),
        ze_ohm=inspection.ze,
        ipf_ka=inspection.ipf_ka,
    )


def board_facts(board: Board, result: BoardResult | None, inspection: Inspection) -> facts.BoardFacts:
    """A board as measured. At the board on the supply itself, what was measured at the origin holds too."""
    zdb, ipf = (result.zdb, result.ipf_ka) if result else (BLANK, BLANK)
    if board.fed_from_id is None:
        zdb, ipf = zdb or inspection.ze, ipf or inspection.ipf_ka
    return facts.BoardFacts(
        designation=board.designation, three_phase=board.is_three_phase, zdb_ohm=zdb, ipf_ka=ipf
    )


def instrument_facts(inspection: Inspection) -> tuple[facts.InstrumentFacts, ...]:
    return tuple(
        facts.InstrumentFacts(
            name=f"{instrument.get_measures_display()} {instrument.serial}",
            calibrated_until=instrument.calibrated_until,
            insulation_range_top_mohm=(
                None
                if instrument.insulation_range_top_mohm is None
                else Decimal(instrument.insulation_range_top_mohm)
            ),
        )
        for instrument in inspection.instruments.all()
    )


def cases(
    inspection: Inspection,
    circuits: Iterable[Circuit],
    results: Mapping[int, CircuitResult],
    *,
    board_results: Mapping[int, BoardResult],
) -> dict[int, facts.Case]:
    """What each circuit is judged by, by its id. The number of queries does not grow with the circuits.

    ``circuits`` must come with their boards at hand.
    """
    circuits = list(circuits)
    edition, supply = editions.load(inspection.edition), supply_facts(inspection)
    coverage = Coverage(inspection)
    leakage = {pk: ma for known in STANDING_LEAKAGE for pk, ma in known(circuits).items()}
    instruments, past = instrument_facts(inspection), past_results(inspection, circuits)
    boards = {
        circuit.board_id: board_facts(circuit.board, board_results.get(circuit.board_id), inspection)
        for circuit in circuits
    }
    return {
        circuit.pk: facts.Case(
            circuit=circuit_facts(circuit, inspection.installation, leakage.get(circuit.pk)),
            readings=circuit_readings(results.get(circuit.pk)),
            edition=edition,
            supply=supply,
            board=boards[circuit.board_id],
            covered=coverage.of(circuit),
            instruments=instruments,
            past=past.get(circuit.pk, ()),
            on=inspection.started_on,
        )
        for circuit in circuits
    }


def past_results(
    inspection: Inspection, circuits: Iterable[Circuit]
) -> dict[int, tuple[facts.PastResult, ...]]:
    """Readings of the same circuits at earlier inspections, oldest first, by circuit."""
    earlier = CircuitResult.objects.filter(
        circuit__in=circuits,
        inspection__started_on__lt=inspection.started_on,
        inspection__installation=inspection.installation_id,
    ).select_related("inspection")
    past = defaultdict(list)
    for result in earlier.order_by("inspection__started_on"):
        past[result.circuit_id].append(
            facts.PastResult(
                on=result.inspection.started_on,
                readings=circuit_readings(result),
                ze_ohm=result.inspection.ze,
                edition=editions.load(result.inspection.edition),
            )
        )
    return {circuit: tuple(rows) for circuit, rows in past.items()}


def notes_by_circuit(findings: Mapping[int, Iterable[Finding]]) -> dict[int, dict[str, list[Note]]]:
    """What stands beside each cell, by circuit and column; what is merely not entered yet is left out."""
    notes: dict[int, dict[str, list[Note]]] = {}
    for circuit, found in findings.items():
        beside = notes.setdefault(circuit, defaultdict(list))
        for finding in found:
            if finding.column and finding.code is not Code.MISSING_READING:
                beside[finding.column].append(_note(finding))
    return notes


def _note(finding: Finding) -> Note:
    return Note(
        finding.summary,
        is_failure=finding.severity in (Severity.OUT_OF_LIMIT, Severity.DISAGREES),
        asks_for_limitation=finding.code is Code.LIM_WITHOUT_LIMITATION,
    )


def missing_count(findings: Iterable[Finding]) -> int:
    """How many readings the circuit still asks for."""
    return sum(finding.code is Code.MISSING_READING for finding in findings)
