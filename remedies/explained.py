"""Each live-live reading of an inspection beside what the register says is across its circuit."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from inspections.models import Circuit, CircuitResult, Inspection
from remedies.bridge import explanation_for, insulation_tester_of
from remedies.enums import LoadState
from remedies.models import ParallelLoad
from remedies.physics.explain import Explanation, Verdict
from remedies.physics.quantity import ohms


@dataclass(frozen=True)
class Explained:
    """One circuit's reading and its explanation. ``loads``: those taken to be in circuit at the test."""

    circuit: Circuit
    result: CircuitResult
    loads: tuple[ParallelLoad, ...]
    explanation: Explanation

    @property
    def is_unexplained(self) -> bool:
        """Whether neither sound cable nor the register accounts for the reading."""
        return self.explanation.verdict is not Verdict.EXPLAINED

    @property
    def summary(self) -> str:
        """The answer in one sentence."""
        expected, missing = self.explanation.expected.text, self.explanation.missing_ohm
        if self.explanation.verdict is Verdict.EXPLAINED:
            return f"The register explains it: {expected} is expected with those loads in."
        if self.explanation.verdict is Verdict.HIGHER:
            return f"The register gives {expected}: a registered load is not in circuit."
        more = f"about {ohms(missing.typical)} more is across" if missing else "something more is across"
        return f"The register does not explain it: {more}, or the insulation is poor."


def explanations_of(inspection: Inspection, circuits: Iterable[Circuit] | None = None) -> list[Explained]:
    """Every measured live-live reading that is not plainly sound, or stands on a circuit with loads; of
    ``circuits`` alone when given.

    Three queries, however many circuits. Loads disconnected for the test are taken as out of circuit.
    """
    across = defaultdict(list)
    loads = ParallelLoad.objects.for_installation(inspection.installation).filter(state=LoadState.IN_PLACE)
    for load in loads.filter(since__lte=inspection.finished_on or inspection.started_on):
        across[load.circuit_id].append(load)
    instrument = insulation_tester_of(inspection)
    results = CircuitResult.objects.filter(inspection=inspection).select_related("circuit__board")
    if circuits is not None:
        results = results.filter(circuit__in=circuits)
    explained = []
    for result in results:
        found = explanation_for(result, across[result.circuit_id], instrument)
        if found and (across[result.circuit_id] or found.verdict is not Verdict.EXPLAINED):
            explained.append(Explained(result.circuit, result, tuple(across[result.circuit_id]), found))
    return explained
