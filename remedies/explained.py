"""Each live-live reading of an inspection beside what the register says is across its circuit."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inspections.models import Circuit, CircuitResult, Inspection, Instrument
from inspections.rules.readings import Reading
from remedies.bridge import explanation_for, insulation_tester_of
from remedies.enums import LoadState
from remedies.models import ParallelLoad
from remedies.physics.explanation import Explanation, Verdict
from remedies.physics.insulation_test import SOUND_CABLE_MOHM
from remedies.physics.measured import Settling
from remedies.physics.quantity import ohms

_SOUND_MOHM = Decimal(str(SOUND_CABLE_MOHM.low))
Stay = tuple[str, date]
"""A state of a load, and the day it came into it."""


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
            if not self.loads:
                return "The reading is that of sound insulation; nothing is registered across it."
            return f"The register explains it: {expected} MΩ is expected with those loads in."
        if self.explanation.verdict is Verdict.HIGHER:
            return f"The register gives {expected} MΩ: a registered load is not in circuit."
        more = f"about {ohms(missing.typical)} more is across" if missing else "something more is across"
        return f"The register does not explain it: {more}, or the insulation is poor."


def explanations_of(inspection: Inspection, circuits: Iterable[Circuit] | None = None) -> list[Explained]:
    """Every measured live-live reading that is not plainly sound, or stands on a circuit with loads; of
    ``circuits`` alone when given.

    Three queries, however many circuits; one more where a load changed its state on or after the visit.
    """
    across = in_circuit_at(inspection, circuits)
    instrument = insulation_tester_of(inspection)
    results = CircuitResult.objects.filter(inspection=inspection).select_related("circuit__board")
    if circuits is not None:
        results = results.filter(circuit__in=circuits)
    explained = []
    for result in results:
        loads = across.get(result.circuit_id, [])
        if not loads and result.ir_live_live.at_least(_SOUND_MOHM):
            continue  # sound cable alone accounts for it, so nothing need be worked out
        found = explanation_for(result, loads, instrument)
        if found and (loads or found.verdict is not Verdict.EXPLAINED):
            explained.append(Explained(result.circuit, result, tuple(loads), found))
    return explained


@dataclass(frozen=True)
class AlsoKnown:
    """What was seen beside a reading: what it did while the button was held, and for how long it climbed [s];
    a reading of the same circuit at another voltage [V]; the tester, where it is not that of the visit."""

    settling: Settling = Settling.NOT_WATCHED
    settled_after_s: float | None = None
    second: tuple[Reading, int] | None = None
    tester: Instrument | None = None


def explain_reading(
    result: CircuitResult, loads: Sequence[ParallelLoad], known: AlsoKnown
) -> Explained | None:
    """One circuit's live-live reading beside ``loads``, those in circuit, with all that is known of it. None
    where nothing was measured."""
    found = explanation_for(
        result, loads, known.tester, known.settling, known.second, settled_after_s=known.settled_after_s
    )
    return Explained(result.circuit, result, tuple(loads), found) if found else None


def in_circuit_at(
    inspection: Inspection, circuits: Iterable[Circuit] | None = None
) -> dict[int, list[ParallelLoad]]:
    """The loads that were in circuit when an inspection tested insulation, by circuit id.

    A load disconnected on a day of the visit was disconnected for its tests, even if it was put back the same
    day. One taken out since was still there; one taken out on a day of the visit is taken as out. A suspicion
    that was found true since was there all along.
    """
    loads = ParallelLoad.objects.for_installation(inspection.installation)
    loads = loads.filter(since__lte=inspection.last_day)
    if circuits is not None:
        loads = loads.filter(circuit__in=circuits)
    loads = list(loads.order_by("circuit", "pk"))
    stays = stays_of([load for load in loads if load.state_since >= inspection.started_on])
    across = defaultdict(list)
    for load in those_in_circuit(loads, inspection, stays):
        across[load.circuit_id].append(load)
    return dict(across)


def those_in_circuit(
    loads: Iterable[ParallelLoad], inspection: Inspection, stays: Mapping[int, Sequence[Stay]]
) -> list[ParallelLoad]:
    """Those of some loads that were in circuit at an inspection. No query.

    ``stays``: by load id what ``stays_of`` tells of each that changed its state since the inspection began.
    """
    first, last = inspection.started_on, inspection.last_day

    def was_in_circuit(load: ParallelLoad) -> bool:
        now = [(load.state, load.state_since)]
        known = stays.get(load.pk, now) if load.state_since >= first else now
        return load.since <= last and _was_in_circuit(known, first, last)

    return [load for load in loads if was_in_circuit(load)]


def stays_of(loads: Sequence[ParallelLoad]) -> dict[int, list[Stay]]:
    """The states of each load in the order they came, by id; a day corrected later counts as corrected."""
    if not loads:
        return {}
    rows = ParallelLoad.history.filter(id__in=[load.pk for load in loads]).order_by(
        "history_date", "history_id"
    )
    stays: dict[int, list[Stay]] = defaultdict(list)
    for pk, state, since in rows.values_list("id", "state", "state_since"):
        known = stays[pk]
        if known and known[-1][0] == state:
            known.pop()
        known.append((state, since))
    return stays


def _was_in_circuit(stays: Sequence[Stay], first: date, last: date) -> bool:
    """Whether a load with those states was in circuit during tests on the days from ``first`` to ``last``."""
    stands = False
    for number, (state, since) in enumerate(stays):
        if since > last and number:
            break
        ended = stays[number + 1][1] if number + 1 < len(stays) else date.max
        if state == LoadState.DISCONNECTED and ended >= first:
            return False
        confirmed = state == LoadState.SUSPECTED and number + 1 < len(stays)
        stands = state == LoadState.IN_PLACE or confirmed
    return stands
