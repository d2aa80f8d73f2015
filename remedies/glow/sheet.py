"""The whole of a glow worksheet in words and plain values: the page and the print are drawn from the same
``GlowSheet``."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from remedies.glow import table
from remedies.glow.asked import Asked, Belief, asked, beliefs, next_question
from remedies.glow.basis import basis_of, judged_of
from remedies.glow.candidates import Candidate, candidates
from remedies.glow.drawn import CircuitDrawn, Plot, circuit_drawn, plot_drawn
from remedies.glow.further import Result, control_result, device_result, dimmer_result
from remedies.glow.inputs import Inputs
from remedies.glow.source_found import SourceFound, source_found
from remedies.models import LoadPreset, ParallelLoad
from remedies.physics.cause import BASIS


@dataclass(frozen=True)
class GlowSheet:
    """All that a worksheet says. basis: what the remedies are calculated on. no_part: why no part is
    calculated, empty where parts are."""

    beliefs: tuple[Belief, ...]
    asked: tuple[Asked, ...]
    next_question: Asked | None
    source: SourceFound
    basis: str
    no_part: tuple[str, ...]
    remedies: tuple[table.Remedy, ...]
    chosen: table.Remedy | None
    circuit: CircuitDrawn
    plot: Plot | None
    control: Result | None
    device: Result | None
    dimmer: Result | None
    weights_basis: str = BASIS

    @property
    def can_fit(self) -> bool:
        return any(row.can_be_fitted for row in self.remedies)

    @property
    def not_excluded(self) -> tuple[Belief, ...]:
        """Dangerous faults that the answers leave more than hardly possible."""
        return tuple(belief for belief in self.beliefs if belief.dangerous and belief.percent > 1)


def glow_sheet(
    given: Inputs,
    *,
    chosen: str = "",
    presets: Iterable[LoadPreset] = (),
    with_slow: bool = True,
    kept: Sequence[table.Remedy] = (),
    fitted: ParallelLoad | None = None,
) -> GlowSheet:
    """Everything calculated from what was entered.

    chosen: key of the remedy to mark. with_slow: also what takes long. kept: the rows as they stood when the
    case was ended, shown as kept; fitted: the load that the case ended in.
    """
    judged = judged_of(given)
    basis = basis_of(given, judged)
    parts = candidates(basis.sources, given.conditions, presets, given.own) if basis.sources else []
    rows = tuple(kept) or (
        table.remedies(
            parts, basis.sources, given.conditions, given.situation, with_slow=with_slow, chosen=chosen
        )
        if basis.sources
        else table.without_parts(given.situation)
    )
    row = table.chosen_of(rows, chosen)
    part = Candidate(fitted) if fitted else next((one for one in parts if one.key == chosen), None)
    return GlowSheet(
        beliefs=beliefs(given.answers),
        asked=asked(given),
        next_question=next_question(given),
        source=source_found(judged),
        basis=basis.words,
        no_part=basis.no_part,
        remedies=rows,
        chosen=row,
        circuit=circuit_drawn(given, judged, basis, row, part),
        plot=plot_drawn(basis, given.conditions, row, part),
        control=control_result(given),
        device=device_result(given),
        dimmer=dimmer_result(given.dimmer),
    )
