"""Whether lamps are load enough for a dimmer, and what a load module must add.

Minimum load counts in watts of the lamps as marked; a module of R ohms adds V²/R at full setting.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from remedies.physics.checked import InputError, number
from remedies.physics.operating import Conditions, on_state
from remedies.physics.parts import LoadModule
from remedies.physics.preferred_values import Series, at_or_below
from remedies.physics.quantity import Span, engineering, ohms, significant
from remedies.physics.ratings import case_temperature

_MODULE_TOLERANCE = 0.05  # IEC 60062 code J


class Edge(StrEnum):
    """Which part of the half cycle a dimmer cuts away."""

    LEADING = "leading"
    TRAILING = "trailing"


@dataclass(frozen=True, slots=True)
class DimmerLoad:
    """How a dimmer stands to its lamps.

    short_w: watts missing to the minimum, 0 when there is enough. lamps_for_minimum: lamps of this kind that
    would do alone. module: the load module that makes up the rest, None when none is needed. module_w: what
    it takes at full setting. module_case_c: its estimated case temperature [°C]. notes: what else to mind.
    """

    load_w: float
    short_w: float
    lamps_for_minimum: int
    module: LoadModule | None
    module_w: float
    module_case_c: Span | None
    notes: tuple[str, ...]
    working: tuple[str, ...]


def dimmer_load(
    lamp_w: float,
    lamp_count: int,
    minimum_w: float,
    maximum_w: float | None = None,
    *,
    dimmer_edge: Edge | None = None,
    lamp_edge: Edge | None = None,
    conditions: Conditions | None = None,
) -> DimmerLoad:
    """Whether ``lamp_count`` lamps of ``lamp_w`` [W] suit a dimmer of ``minimum_w`` to ``maximum_w`` [W].

    dimmer_edge, lamp_edge: what the dimmer does and what the lamps are made for, when known.

    >>> short = dimmer_load(5, 3, 25)
    >>> short.short_w, ohms(short.module.resistance_ohm.typical), round(short.module_w, 1)
    (10.0, '4.7 kΩ', 11.3)
    """
    given = conditions or Conditions()
    number("lamp power", lamp_w, "W", low=0.1, high=1000, instead="Give the watts marked on one lamp.")
    number("lamp count", lamp_count, "", low=0, high=1000, instead="Give how many lamps it dims.")
    instead = "Give the minimum load on the dimmer’s data sheet for LED lamps, in watts; 0 when it has none."
    number("minimum load", minimum_w, "W", low=0, high=1000, instead=instead)
    if maximum_w is not None:
        instead = "Give the maximum load for LED lamps, no lower than the minimum, or leave it out."
        number("maximum load", maximum_w, "W", low=max(minimum_w, 1), high=10000, instead=instead)
    if lamp_count != int(lamp_count):
        raise InputError("lamp count", f"{lamp_count} is not a whole number. Give how many lamps it dims.")
    load = float(lamp_w * lamp_count)
    short = max(minimum_w - load, 0.0)
    module = _module(short, given) if short else None
    nominal = on_state(module, given.supply_v) if module else None
    case = None
    if module and nominal:
        case = case_temperature(module, nominal, on_state(module, given.highest_v), given)
    enough = math.ceil(minimum_w / lamp_w)
    return DimmerLoad(
        load,
        short,
        enough,
        module,
        nominal.power_w if nominal else 0.0,
        case,
        tuple(_notes(load, maximum_w, dimmer_edge, lamp_edge, case, given)),
        (
            f"{lamp_count} × {significant(lamp_w)} W = {significant(load)} W against at least "
            f"{significant(minimum_w)} W: {significant(short)} W short",
            f"{significant(minimum_w)} W ÷ {significant(lamp_w)} W: {enough} lamps would do",
            *_module_working(module, given),
        ),
    )


def _module(short_w: float, given: Conditions) -> LoadModule:
    # At least the missing watts with the resistor at the high end of its tolerance.
    largest = given.supply_v**2 / short_w / (1 + _MODULE_TOLERANCE)
    span = Span.within(at_or_below(largest, Series.E24), _MODULE_TOLERANCE)
    return LoadModule(resistance_ohm=span)


def _module_working(module: LoadModule | None, given: Conditions) -> list[str]:
    if module is None:
        return []
    ohm = module.resistance_ohm.typical
    watts = engineering(given.supply_v**2 / ohm, "W")
    return [
        f"A module of {ohms(ohm)}: {significant(given.supply_v)}² ÷ {ohms(ohm)} = {watts} at full setting"
    ]


def _notes(
    load: float,
    maximum_w: float | None,
    dimmer_edge: Edge | None,
    lamp_edge: Edge | None,
    case: Span | None,
    given: Conditions,
) -> list[str]:
    said = []
    if maximum_w is not None and load > maximum_w:
        said.append(
            f"{significant(load)} W is more than the dimmer’s {significant(maximum_w)} W: fewer lamps, or a "
            "larger dimmer."
        )
    if dimmer_edge and lamp_edge and dimmer_edge is not lamp_edge:
        said.append(
            f"The dimmer cuts the {dimmer_edge.value} edge and the lamps are made for the {lamp_edge.value} "
            "edge: no load module cures that."
        )
    if case is not None and case.high > given.touch_limit_c:
        said.append(
            f"The module’s case may reach {significant(case.high)} °C, above "
            f"{significant(given.touch_limit_c)} °C: share it over several modules with air round them, "
            "or fit another dimmer."
        )
    return said
