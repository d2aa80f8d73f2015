"""What a part across the supply stands: rating, temperature, charge, current to earth; beyond it, refused.

Case temperature = air + K/W × P. Charge left after switching off at the crest falls as Vp·e^(−t/(R·C)).
"""

import math
from collections.abc import Iterator

from remedies.physics import neon
from remedies.physics.operating import FIGURES, Conditions, Draw, OnState, lamps
from remedies.physics.parts import (
    CapacitorClass,
    Connection,
    LoadModule,
    Neon,
    Part,
    RcNetwork,
    Resistor,
    SuppressionCapacitor,
)
from remedies.physics.quantity import Span, engineering, ohms, significant

_RESISTOR, _MODULE, _DISCHARGE = FIGURES["resistor"], FIGURES["module"], FIGURES["discharge"]
_RCD, _AIR, _TOUCH = FIGURES["rcd"], FIGURES["air"], FIGURES["touch"]
_TO_EARTH = frozenset({Connection.LINE_EARTH, Connection.NEUTRAL_EARTH})


def _highest_share(part: Resistor) -> float:
    """The largest share of the voltage that one of several resistors in series can take, by tolerance."""
    one = part.resistance_ohm
    return one.high / (one.high + (part.in_series - 1) * one.low)


def volts_each(part: Part, volts: float) -> float:
    """The most that one item of several in series can take of a voltage [V]."""
    return volts * _highest_share(part) if isinstance(part, Resistor) else volts


def _rated_watts(part: Resistor, given: Conditions) -> float | None:
    """Rated power of one item in this air: full up to 70 °C, falling to none at 155 °C."""
    if part.rated_w is None:
        return None
    full, none = float(_RESISTOR["full_power_to_c"]), float(_RESISTOR["no_power_at_c"])
    return part.rated_w * min(max((none - given.ambient_c) / (none - full), 0.0), 1.0)


def _watts_each(part: Resistor, highest: OnState) -> float:
    return highest.power_w / part.count * _highest_share(part)


def _power_share(part: Resistor, highest: OnState, given: Conditions) -> float | None:
    rated = _rated_watts(part, given)
    if rated is None:
        return None
    return _watts_each(part, highest) / rated if rated else math.inf


def rating_share(part: Part, highest: OnState, given: Conditions) -> float | None:
    """How much of its rating a part uses, the larger of power and voltage; None where no rating is given."""
    shares = []
    match part:
        case SuppressionCapacitor() | RcNetwork():
            shares.append(given.highest_v / part.rated_v)
        case Resistor():
            power = _power_share(part, highest, given)
            if power is not None:
                shares.append(power)
            if part.working_v is not None:
                shares.append(volts_each(part, given.highest_v) / part.working_v)
        case Neon():
            on = neon.on_supply(lamps(part, Draw.MOST)[0], given.highest_v)
            if part.resistor_rated_w is not None:
                shares.append(on.resistor_w / part.resistor_rated_w)
            if part.resistor_working_v is not None:
                shares.append(given.highest_v / part.resistor_working_v)
    return max(shares, default=None)


def case_temperature(part: Part, nominal: OnState, highest: OnState, given: Conditions) -> Span | None:
    """Estimated surface temperature [°C] of a part that dissipates; None where none can be told."""
    match part:
        case Resistor() if part.rated_w is not None:
            whole = (_RESISTOR["no_power_at_c"] - _RESISTOR["full_power_to_c"]) / part.rated_w
            shares = (_RESISTOR[f"rise_share_{end}"] for end in ("low", "typical", "high"))
            low, typical, high = (whole * share for share in shares)
            each = nominal.power_w / part.count / part.in_series
            most = _watts_each(part, highest)
        case LoadModule():
            low, typical, high = (_MODULE[f"rise_{end}_k_per_w"] for end in ("low", "typical", "high"))
            each, most = nominal.power_w / part.count, highest.power_w / part.count
        case _:
            return None
    boxed = _AIR["enclosed_factor"] if given.enclosed else 1.0
    return Span(low * each, typical * each, high * most * boxed).rising(lambda rise: given.ambient_c + rise)


def discharge(part: Part, given: Conditions) -> Span | None:
    """R·C·ln(Vp / 34 V) [s], from the crest of the highest supply voltage."""
    if not isinstance(part, SuppressionCapacitor | RcNetwork) or part.discharge_ohm is None:
        return None
    falls = math.log(math.sqrt(2) * given.highest_v / _DISCHARGE["safe_v"])
    ohm, farad = part.discharge_ohm, part.capacitance_f
    return Span(ohm.low * farad.low, ohm.typical * farad.typical, ohm.high * farad.high).times(falls)


def refusals(
    part: Part, nominal: OnState, highest: OnState, residual: float, given: Conditions
) -> Iterator[str]:
    """Why a part must not be used, each with its working; none where nothing forbids it."""
    match part:
        case SuppressionCapacitor():
            yield from _capacitor_refusals(part, given)
        case RcNetwork():
            if part.rated_v < given.highest_v:
                yield _voltage_refusal(part.rated_v, given)
            if part.connection in _TO_EARTH:
                yield "An RC network has no Y-class capacitor and never goes to earth."
        case Resistor():
            yield from _resistor_refusals(part, nominal, highest, given)
        case Neon():
            yield from _neon_refusals(part, given)
    if residual and residual + given.standing_a >= _RCD["trip_share"] * given.rcd_rated_a:
        yield (
            f"{engineering(residual + given.standing_a, 'A')} to earth may trip the "
            f"{engineering(given.rcd_rated_a, 'A')} RCD by itself ({_RCD['source']})."
        )


def _voltage_refusal(rated_v: float, given: Conditions) -> str:
    return (
        f"Rated {significant(rated_v)} V on a supply of up to {significant(given.highest_v)} V: "
        "the rating must lie above the supply voltage."
    )


def _capacitor_refusals(part: SuppressionCapacitor, given: Conditions) -> Iterator[str]:
    if part.safety_class is None:
        yield "Not marked X or Y (IEC 60384-14): no other capacitor is made to go across the supply."
    elif part.connection in _TO_EARTH and part.safety_class not in (CapacitorClass.Y1, CapacitorClass.Y2):
        yield (
            f"{part.safety_class.value} from a live conductor to earth: shorted, it makes earthed parts "
            "live. Only Y class goes to earth (IEC 60384-14)."
        )
    if part.rated_v < given.highest_v:
        yield _voltage_refusal(part.rated_v, given)


def _resistor_refusals(
    part: Resistor, nominal: OnState, highest: OnState, given: Conditions
) -> Iterator[str]:
    rated = _rated_watts(part, given)
    if rated is None:
        yield (
            f"Its power rating is not given: {engineering(_watts_each(part, highest), 'W')} at the highest "
            "supply voltage needs a part of at least twice that."
        )
        return
    at_nominal = nominal.power_w / part.count / part.in_series
    at_highest = _watts_each(part, highest)
    whole = ohms(part.total_ohm.typical)
    several = f" over {part.in_series}" if part.in_series > 1 else ""
    what = f"a {significant(part.rated_w or 0)} W part"
    if rated < (part.rated_w or 0):
        what += f" that holds {significant(rated)} W in air of {significant(given.ambient_c)} °C"
    if at_nominal > rated:
        yield (
            f"{significant(given.supply_v)}² ÷ {whole}{several} = {engineering(at_nominal, 'W')} in {what}."
        )
    elif at_highest > rated:
        yield (
            f"{significant(given.highest_v)}² ÷ {ohms(part.total_ohm.low)}{several} = "
            f"{engineering(at_highest, 'W')} in {what}, at the highest supply voltage and lowest tolerance."
        )
    volts = volts_each(part, given.highest_v)
    if part.working_v is not None and volts > part.working_v:
        yield (
            f"{significant(volts)} V (crest {significant(math.sqrt(2) * volts)} V) on a part with a working "
            f"voltage of {significant(part.working_v)} V: use two or more in series."
        )


def _neon_refusals(part: Neon, given: Conditions) -> Iterator[str]:
    on = neon.on_supply(lamps(part, Draw.MOST)[0], given.highest_v)
    if part.resistor_rated_w is not None and on.resistor_w > part.resistor_rated_w:
        rated = significant(part.resistor_rated_w)
        yield f"{engineering(on.resistor_w, 'W')} in a series resistor of {rated} W."
    if part.resistor_working_v is not None and given.highest_v > part.resistor_working_v:
        yield _voltage_refusal(part.resistor_working_v, given)
    if part.connection in _TO_EARTH:
        yield "A neon to earth passes current into the protective conductor: connect it to neutral."


def cautions(
    part: Part,
    highest: OnState,
    case: Span | None,
    residual: float,
    strikes: bool | None,
    given: Conditions,
) -> Iterator[str]:
    """What to mind about a part that is not refused."""
    if strikes is False:
        yield "The stray voltage does not strike this neon, so it changes nothing for the lamp."
    if strikes:
        yield "A lit neon does not hold the conductor at its striking voltage: it stays well above zero."
    if isinstance(part, Resistor):
        share = _power_share(part, highest, given)
        if share is not None and _RESISTOR["usual_share"] < share <= 1:
            yield f"It uses {significant(share * 100, 2)} % of its rated power; half is common practice."
        if part.working_v is None:
            volts = volts_each(part, given.highest_v)
            yield f"Its working voltage is not given: it must withstand {significant(volts)} V r.m.s."
    if isinstance(part, SuppressionCapacitor | RcNetwork):
        yield from _charge_cautions(part, given)
    if case is not None:
        yield from _heat_cautions(case, given)
    if residual and residual + given.standing_a > _RCD["standing_share"] * given.rcd_rated_a:
        yield (
            f"{engineering(residual + given.standing_a, 'A')} standing to earth is more than 30 % of the "
            f"RCD’s {engineering(given.rcd_rated_a, 'A')} ({_RCD['source']})."
        )


def _charge_cautions(part: SuppressionCapacitor | RcNetwork, given: Conditions) -> Iterator[str]:
    slowest = discharge(part, given)
    if slowest is None:
        yield "It has no discharge resistor of its own: discharge it before touching its terminals."
    elif slowest.high > _DISCHARGE["seconds"] and part.capacitance_f.typical > _DISCHARGE["exempt_f"]:
        yield (
            f"It takes up to {significant(slowest.high)} s to fall to {significant(_DISCHARGE['safe_v'])} V: "
            "wait, or discharge it, before touching its terminals."
        )


def _heat_cautions(case: Span, given: Conditions) -> Iterator[str]:
    for limit, name in (
        (given.touch_limit_c, f"the touch limit ({_TOUCH['source']})"),
        (FIGURES["cable"]["thermoplastic_c"], f"what cable insulation bears ({FIGURES['cable']['source']})"),
    ):
        if case.high > limit:
            may = "Its case is" if case.low > limit else "Its case may be"
            yield (
                f"{may} above {significant(limit)} °C, {name}: {significant(case.low)} to "
                f"{significant(case.high)} °C."
            )
