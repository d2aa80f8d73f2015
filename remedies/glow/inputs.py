"""What was entered on a glow worksheet, as the physics knows it.

Every section of the page is kept as the keywords of one value of the physics, in SI units; each function here
builds that value, and raises InputError for what cannot be.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from inspections.models import Circuit
from remedies import bridge
from remedies.enums import Connection
from remedies.models import GlowWorksheet, ParallelLoad
from remedies.physics.checked import InputError, number
from remedies.physics.comparison import Situation
from remedies.physics.control_current import Control
from remedies.physics.dimmer_load import DimmerLoad, Edge, dimmer_load
from remedies.physics.meter_reading import MeterReading
from remedies.physics.operating import Conditions, Reach
from remedies.physics.packaged_device import Device
from remedies.physics.quantity import Span
from remedies.physics.remedy import check_values
from remedies.physics.stray_voltage import FIGURES, HIGHEST_V, NOMINAL_V, Meter, Nature

Section = Mapping[str, Any]
_USUAL = Conditions()
_METER = FIGURES["meter"]
_LONGEST_M: float = FIGURES["coupling"]["longest_run_m"]


@dataclass(frozen=True)
class Inputs:
    """All that a worksheet gives to the calculation. What was not entered is None or empty.

    answers: by question, the answer; skipped: questions that cannot be answered there. run_m: metres that the
    switched wire runs beside a live one. own: the user's own part, not in the register.
    """

    conditions: Conditions
    answers: Mapping[str, str]
    skipped: tuple[str, ...]
    readings: tuple[MeterReading, ...]
    situation: Situation
    run_m: float | None
    control: Control | None
    device: Device | None
    dimmer: DimmerLoad | None
    own: ParallelLoad | None
    cause: str


def inputs_of(worksheet: GlowWorksheet) -> Inputs:
    """What a worksheet holds. Raises InputError where it holds what cannot be."""
    sections = worksheet.inputs
    given = conditions(supply_section(worksheet))
    return Inputs(
        conditions=given,
        answers={key: answer for key, answer in worksheet.answers.items() if answer},
        skipped=tuple(key for key, answer in worksheet.answers.items() if not answer),
        readings=tuple(meter_reading(entry) for entry in worksheet.readings),
        situation=situation(sections.get("place", {})),
        run_m=run_m(sections.get("place", {})),
        control=control(sections.get("control", {})),
        device=device(sections.get("device", {})),
        dimmer=dimmer(sections.get("dimmer", {}), given),
        own=own_part(sections.get("own", {})),
        cause=worksheet.cause,
    )


def supply_section(worksheet: GlowWorksheet) -> dict[str, Any]:
    """The supply and the conditions as entered, else as the record of the circuit has them."""
    return {**usual_supply(worksheet.circuit), **worksheet.inputs.get("supply", {})}


def usual_supply(circuit: Circuit) -> dict[str, Any]:
    """What the record says of a circuit's supply, and what is usual for the rest."""
    installation = circuit.board.installation
    volts = float(circuit.nominal_voltage_v or installation.nominal_voltage_v)
    rcd = circuit.rcd_residual_ma
    return {
        "supply_v": volts,
        "highest_v": round(volts * HIGHEST_V / NOMINAL_V, 1),
        "frequency_hz": float(installation.frequency_hz),
        "glow_low_v": _USUAL.glow_v.low,
        "glow_high_v": _USUAL.glow_v.high,
        "rcd_rated_a": _USUAL.rcd_rated_a if rcd is None else float(rcd) / 1000,
        "standing_a": _USUAL.standing_a,
        "hours_on": _USUAL.hours_on,
        "price_per_kwh": None,
        "ambient_c": _USUAL.ambient_c,
        "enclosed": _USUAL.enclosed,
        "metal": _USUAL.metal,
        "reach": _USUAL.reach.value,
    }


def conditions(section: Section) -> Conditions:
    """Supply, lamp and surroundings."""
    given = dict(section)
    low, high = given.pop("glow_low_v"), given.pop("glow_high_v")
    for end in (low, high):
        number("glow threshold", end, "V", low=0.1, high=1000, instead="Give volts; 10 and 40 if not known.")
    if low > high:
        raise InputError("glow threshold", f"the lamp is dark below {low:g} V and glows above {high:g} V.")
    reach = Reach(given.pop("reach"))
    return Conditions(glow_v=Span(low, math.sqrt(low * high), high), reach=reach, **given)


def meter_reading(entry: Section) -> MeterReading:
    """One reading with the meter it was taken with."""
    volts, meter = entry.get("volts"), entry.get("resistance_ohm")
    number("meter reading", volts, "V", low=0, high=1000, instead="Give the volts shown.")
    return MeterReading(
        volts,
        Meter(meter, entry.get("capacitance_f") or 0.0),
        gain_error=_METER["gain_error"] if entry.get("gain_error") is None else entry["gain_error"],
    )


def situation(section: Section) -> Situation:
    """What the place allows that needs no part."""
    return Situation(**{field.name: bool(section.get(field.name)) for field in fields(Situation)})


def run_m(section: Section) -> float | None:
    """Metres of parallel run, None where not entered."""
    metres = section.get("run_m")
    if metres is None:
        return None
    instead = "Give the metres that the switched wire lies beside a live one."
    return number("parallel run", metres, "m", low=0.5, high=_LONGEST_M, instead=instead)


def control(section: Section) -> Control | None:
    """The electronic control, None where none was entered."""
    if section.get("off_current_a") is None:
        return None
    return Control(section["off_current_a"], Nature(section.get("nature") or Nature.CAPACITIVE))


def device(section: Section) -> Device | None:
    """Readings of a packaged device, None where none were entered. An open ohmmeter reads infinity."""
    readings = {name: value for name, value in section.items() if name != "shows_open"}
    if section.get("shows_open"):
        if readings.get("resistance_ohm") is not None:
            raise InputError("ohmmeter", "it shows open, but a resistance is given too. Give one of the two.")
        readings["resistance_ohm"] = math.inf
    return Device(**readings) if any(value is not None for value in readings.values()) else None


_DIMMER_GIVEN = ("lamp_w", "lamp_count", "minimum_w", "maximum_w")


def dimmer(section: Section, given: Conditions) -> DimmerLoad | None:
    """How a dimmer stands to its lamps, None where none was entered."""
    if all(section.get(name) is None for name in _DIMMER_GIVEN):
        return None
    edges = {name: section.get(name) for name in ("dimmer_edge", "lamp_edge")}
    return dimmer_load(
        *(section.get(name) for name in _DIMMER_GIVEN),
        conditions=given,
        **{name: Edge(edge) if edge else None for name, edge in edges.items()},
    )


def own_part(section: Section) -> ParallelLoad | None:
    """The user's own part, None where none was entered."""
    if not section.get("kind"):
        return None
    column = ParallelLoad._meta.get_field
    values = {name: column(name).to_python(value) for name, value in section.items()}
    load = ParallelLoad(connection=Connection.SWITCHED_L_N, **values)
    check_values(bridge.part(load))
    return load
