"""What the remedies of a worksheet are calculated on: its readings, a control's data, or a length of run."""

import math
from dataclasses import dataclass

from remedies.glow.inputs import Inputs
from remedies.physics import cause as causes
from remedies.physics.operating import Conditions
from remedies.physics.quantity import significant
from remedies.physics.several_readings import Judged, judge_readings
from remedies.physics.source_from_readings import Verdict
from remedies.physics.stray_voltage import FIGURES, Neighbour, Source, source

_COUPLING = FIGURES["coupling"]
_CURRENT_OF_ITS_OWN = ("control", "indicator")  # causes whose source is resistive and known


@dataclass(frozen=True)
class Basis:
    """What is calculated on: the sources, the likeliest first, in words; or why on nothing."""

    sources: tuple[Source, ...] = ()
    words: str = ""
    no_part: tuple[str, ...] = ()


def sources_of(given: Inputs) -> tuple[Source, ...]:
    """What the remedies are calculated on; nothing where no part may be."""
    return basis_of(given, judged_of(given)).sources


def judged_of(given: Inputs) -> Judged | None:
    """What the meter readings say; nothing where there are fewer than two."""
    if len(given.readings) < 2:
        return None
    return judge_readings(
        given.readings,
        supply_v=given.conditions.supply_v,
        frequency_hz=given.conditions.frequency_hz,
    )


def basis_of(given: Inputs, judged: Judged | None) -> Basis:
    """Readings count before the data of a control, and those before a length of run."""
    fault = next((one for one in causes.CAUSES if one.key == given.cause and one.dangerous), None)
    if fault:
        return Basis(no_part=(f"A fault, and no nuisance: {fault.name}. {fault.next_step}",))
    if judged:
        if judged.verdict is not Verdict.COUPLED:
            return Basis(no_part=(judged.judgement.text,))
        if judged.leak and given.cause not in _CURRENT_OF_ITS_OWN:
            return Basis(no_part=(judged.leak,))
        return Basis(judged.sources, "Calculated on the meter readings.")
    if given.readings:
        return Basis(
            no_part=(
                "One reading cannot tell a coupled voltage from a live conductor. Take another at the same "
                "place, with a meter of different impedance.",
            )
        )
    if given.control:
        return Basis(
            (given.control.source(given.conditions),),
            "Calculated on the off-state current of the control, as its data say; nothing was measured.",
        )
    if given.run_m:
        return Basis(
            _of_run(given.run_m, given.conditions),
            f"Estimated from {significant(given.run_m)} m of parallel run at "
            f"{_COUPLING['low_f_per_m'] * 1e12:.0f} to {_COUPLING['high_f_per_m'] * 1e12:.0f} pF for each "
            "metre, nothing to earth: the voltage on the high side. Two meter readings tell more.",
        )
    return Basis(
        no_part=(
            "Enter two meter readings, or the off-state current of a control, or the metres of parallel run: "
            "parts are calculated on one of them.",
        )
    )


def _of_run(metres: float, given: Conditions) -> tuple[Source, ...]:
    low, high = _COUPLING["low_f_per_m"], _COUPLING["high_f_per_m"]
    return tuple(
        source([Neighbour(given.supply_v, farads * metres)], frequency_hz=given.frequency_hz)
        for farads in (math.sqrt(low * high), low, high)
    )
