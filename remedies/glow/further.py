"""The further sections of a worksheet: a control, a packaged device, a dimmer."""

from dataclasses import dataclass

from remedies.glow.inputs import Inputs
from remedies.glow.values import Value, in_farads, in_volts, value_of
from remedies.physics.control_current import PastTheLamp, past_the_lamp
from remedies.physics.dimmer_load import DimmerLoad
from remedies.physics.packaged_device import Finding, what_is_inside
from remedies.physics.quantity import engineering, ohms, significant


@dataclass(frozen=True)
class Result:
    """What one of the further sections says: values, what to mind, and the working."""

    heading: str
    values: tuple[Value, ...]
    notes: tuple[str, ...] = ()
    working: tuple[str, ...] = ()


def control_result(given: Inputs) -> Result | None:
    """What must pass beside the lamp for a control that feeds through it."""
    if given.control is None:
        return None
    past: PastTheLamp = past_the_lamp(given.control, given.conditions)
    shows = {True: "it glows", False: "it stays dark", None: "it may glow"}[past.glows]
    return Result(
        "What must pass beside the lamp",
        (
            Value("Lamp voltage with nothing beside it", in_volts(past.lamp_v), shows),
            Value(
                "A resistor of at most",
                ohms(past.resistor_ohm),
                f"takes {engineering(past.resistor_w, 'W')} when on; exactly {ohms(past.largest_ohm)}",
            ),
            Value(
                "Or a capacitor of at least",
                in_farads(past.capacitor_f),
                f"exactly {in_farads(past.smallest_f)}",
            ),
        ),
        ("A control that uses the neutral passes nothing through the lamp, and needs no part.",),
        past.working,
    )


def device_result(given: Inputs) -> Result | None:
    """What a packaged device probably is inside, and whether it may stay."""
    if given.device is None:
        return None
    found: Finding = what_is_inside(given.device, given.conditions)
    verdict = {
        True: "nothing speaks against it",
        False: "not acceptable",
        None: "too little is known to say",
    }[found.acceptable]
    power = []
    if found.power_w is not None:
        power = [value_of("Dissipates when on", found.power_w, lambda watts: engineering(watts, "W"))]
    return Result(
        "What it probably is",
        (
            Value("Inside, probably", found.inside.value),
            *power,
            Value("Left in place", verdict),
            *(
                Value(f"Insulation test at {volts:.0f} V shows", f"{reading.text} MΩ")
                for volts, reading in found.insulation.items()
            ),
        ),
        found.reasons,
        found.working,
    )


def dimmer_result(found: DimmerLoad | None) -> Result | None:
    """Whether a dimmer has its minimum load, and what would make it up."""
    if found is None:
        return None
    values = [
        Value("Load", f"{significant(found.load_w)} W"),
        Value("Short of the minimum by", f"{significant(found.short_w)} W" if found.short_w else "nothing"),
        Value("Lamps that would do alone", str(found.lamps_for_minimum)),
    ]
    if found.module:
        values.append(
            Value(
                "A load module of",
                ohms(found.module.resistance_ohm.typical),
                f"takes {engineering(found.module_w, 'W')} at full setting",
            )
        )
    if found.module_case_c:
        values.append(value_of("Its case, about", found.module_case_c, lambda degrees: f"{degrees:.0f} °C"))
    return Result("Whether the load is enough", tuple(values), found.notes, found.working)
