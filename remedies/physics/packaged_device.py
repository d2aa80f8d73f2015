"""A ready-made device across the circuit, nothing marked on it: what the readings taken on it say is inside.

Four readings, each optional: an ohmmeter, a capacitance meter, the current at supply voltage, and the case
temperature against the air's. A resistor draws V/R in its ohms, a capacitor V·ωC; heat says what is
dissipated whatever is inside. All but the current are taken with the device isolated, discharged and
disconnected.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from remedies.physics.checked import InputError, number
from remedies.physics.insulation_test import SOUND_CABLE_MOHM, ExpectedReading, expected_readings
from remedies.physics.operating import FIGURES, Conditions
from remedies.physics.parts import Equipment, Kind, LoadModule, Part, RcNetwork, SuppressionCapacitor
from remedies.physics.quantity import Span, engineering, microfarads, ohms, significant
from remedies.physics.remedy import TEST_V
from remedies.physics.tester import Tester

_AGREES = 0.25  # current within this of what resistor or capacitor would draw; assumption for site meters
_METER_TOLERANCE = 0.10  # assumption for a site ohmmeter or capacitance meter
_MODULE = FIGURES["module"]
_OPEN_OHM = 20e6  # above this an ohmmeter shows an open circuit


class Inside(StrEnum):
    """What a device probably is."""

    RESISTIVE = "resistive"
    CAPACITIVE = "capacitive"
    CAPACITIVE_WITH_RESISTOR = "capacitive with a discharge resistor"
    RC = "RC network"
    NON_LINEAR = "neon or electronics"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Device:
    """Readings of a packaged device: ohmmeter [Ω], infinite when it shows open; capacitance [F], 0 when it
    shows none; current when on [A]; case and air temperature [°C] after at least half an hour on. None is not
    measured."""

    resistance_ohm: float | None = None
    capacitance_f: float | None = None
    on_current_a: float | None = None
    case_c: float | None = None
    air_c: float | None = None

    def __post_init__(self) -> None:
        if all(value is None for value in (self.resistance_ohm, self.capacitance_f, self.on_current_a)):
            raise InputError(
                "packaged device", "no reading was given. Give its ohms, capacitance or current."
            )
        if self.resistance_ohm is not None:
            instead = "Give ohms, or infinity when the meter shows open."
            number(
                "ohmmeter", self.resistance_ohm, "Ω", low=0.1, high=1e12, instead=instead, allow_infinite=True
            )
        if self.capacitance_f is not None:
            instead = "Give farads, 0.1e-6 for 0.1 µF; 0 when the meter shows none."
            number("capacitance meter", self.capacitance_f, "F", low=0, high=1e-3, instead=instead)
        if self.on_current_a is not None:
            instead = "Give amperes, 7e-3 for 7 mA."
            number("current when on", self.on_current_a, "A", low=0, high=16, instead=instead)
        for subject, value in (("case temperature", self.case_c), ("air temperature", self.air_c)):
            if value is not None:
                number(subject, value, "°C", low=-40, high=400, instead="Give °C.")
        if (self.case_c is None) != (self.air_c is None):
            raise InputError("case temperature", "give the case’s and the air’s temperature together.")
        if self.case_c is not None and self.air_c is not None and self.case_c < self.air_c - 3:
            raise InputError("case temperature", "the case is colder than the air. Take both readings again.")


@dataclass(frozen=True, slots=True)
class Finding:
    """What a device probably is. ``power_w`` spans what it dissipates when on; None when nothing tells.

    acceptable: False with the reasons why not, True when nothing speaks against it, None when too little is
    known. part: the device as a register entry would hold it. insulation: what a tester then shows.
    """

    inside: Inside
    power_w: Span | None
    acceptable: bool | None
    reasons: tuple[str, ...]
    part: Part
    insulation: dict[float, ExpectedReading]
    working: tuple[str, ...]


def what_is_inside(device: Device, conditions: Conditions | None = None) -> Finding:
    """What a packaged device probably is, dissipates, and does to an insulation test.

    >>> found = what_is_inside(Device(resistance_ohm=15e3, on_current_a=15e-3, case_c=68, air_c=20))
    >>> found.inside.value, found.insulation[500].text
    ('resistive', '0.01 to 0.02')
    """
    given = conditions or Conditions()
    inside = _inside(device, given)
    power, working = _power(device, inside, given)
    part = _part(device, inside, power)
    reasons = _against(device, given)
    told = device.case_c is not None or (inside is Inside.CAPACITIVE and device.on_current_a is not None)
    acceptable = False if reasons else (True if told and inside is not Inside.UNKNOWN else None)
    if acceptable is None:
        reasons = ["Measure its case and air temperature after half an hour on: heat decides."]
    return Finding(
        inside,
        power,
        acceptable,
        tuple(reasons),
        part,
        expected_readings(SOUND_CABLE_MOHM, [part], Tester(), voltages=TEST_V),
        tuple(working),
    )


def _resistor_a(device: Device, given: Conditions) -> float:
    return given.supply_v / device.resistance_ohm if device.resistance_ohm else 0.0


def _capacitor_a(device: Device, given: Conditions) -> float:
    return given.supply_v * 2 * math.pi * given.frequency_hz * (device.capacitance_f or 0.0)


def _agrees(expected_a: float, device: Device) -> bool:
    return device.on_current_a is None or abs(device.on_current_a - expected_a) <= _AGREES * expected_a


def _inside(device: Device, given: Conditions) -> Inside:
    closed = device.resistance_ohm is not None and device.resistance_ohm < _OPEN_OHM
    stores = bool(device.capacitance_f)
    through_r, through_c = _resistor_a(device, given), _capacitor_a(device, given)
    if closed and stores and _agrees(math.hypot(through_r, through_c), device):
        # Ohmmeters charge a capacitor: it is the larger of the two currents that says what the device is for.
        return Inside.RESISTIVE if through_r > 3 * through_c else Inside.CAPACITIVE_WITH_RESISTOR
    if closed and not stores and _agrees(through_r, device):
        return Inside.RESISTIVE
    if stores and not closed and _agrees(through_c, device):
        return Inside.RC if _rise(device) > 5 else Inside.CAPACITIVE
    if not closed and not stores and device.resistance_ohm is not None and device.on_current_a:
        return Inside.NON_LINEAR
    return Inside.UNKNOWN


def _rise(device: Device) -> float:
    if device.case_c is None or device.air_c is None:
        return 0.0
    return max(device.case_c - device.air_c, 0.0)


def _power(device: Device, inside: Inside, given: Conditions) -> tuple[Span | None, list[str]]:
    """From ohms where they carry the current, otherwise from heat; both in the working."""
    working = []
    power = None
    if device.case_c is not None and device.air_c is not None:
        low, typical, high = (_MODULE[f"rise_{end}_k_per_w"] for end in ("low", "typical", "high"))
        rise = _rise(device)
        power = Span(rise / high, rise / typical, rise / low)
        working.append(
            f"{significant(rise)} K over the air ÷ {significant(typical)} K/W = "
            f"{engineering(power.typical, 'W')} ({significant(power.low)} to {significant(power.high)} W; "
            f"{_MODULE['source']})"
        )
    if inside in (Inside.RESISTIVE, Inside.CAPACITIVE_WITH_RESISTOR) and device.resistance_ohm:
        power = Span.within(device.resistance_ohm, _METER_TOLERANCE).falling(
            lambda ohm: given.supply_v**2 / ohm
        )
        working.append(
            f"{significant(given.supply_v)}² ÷ {ohms(device.resistance_ohm)} = "
            f"{engineering(power.typical, 'W')}"
        )
    if device.capacitance_f:
        working.append(
            f"{microfarads(device.capacitance_f)} draws {significant(given.supply_v)} V × ωC = "
            f"{engineering(_capacitor_a(device, given), 'A')}"
        )
    if device.on_current_a:
        apparent = given.supply_v * device.on_current_a
        working.append(
            f"It draws {engineering(device.on_current_a, 'A')}, so at most {significant(given.supply_v)} V × "
            f"{engineering(device.on_current_a, 'A')} = {engineering(apparent, 'W')}"
        )
        if power is None:
            power = Span(0.0, apparent / 2, apparent)
        elif power.high > apparent:
            power = Span(min(power.low, apparent), min(power.typical, apparent), apparent)
    return power, working


def _part(device: Device, inside: Inside, power: Span | None) -> Part:
    match inside:
        case Inside.RESISTIVE:
            return LoadModule(resistance_ohm=Span.within(device.resistance_ohm or 1, _METER_TOLERANCE))
        case Inside.CAPACITIVE | Inside.CAPACITIVE_WITH_RESISTOR:
            shunt = device.resistance_ohm if inside is Inside.CAPACITIVE_WITH_RESISTOR else None
            return SuppressionCapacitor(
                capacitance_f=Span.within(device.capacitance_f or 0, _METER_TOLERANCE),
                discharge_ohm=Span.within(shunt, _METER_TOLERANCE) if shunt else None,
            )
        case Inside.RC:
            series = Span(10.0, 100.0, 1e4)
            if power and device.on_current_a:
                square = device.on_current_a**2
                series = Span(power.low / square, power.typical / square, power.high / square)
            return RcNetwork(
                resistance_ohm=series, capacitance_f=Span.within(device.capacitance_f or 0, _METER_TOLERANCE)
            )
    if inside is Inside.UNKNOWN and device.resistance_ohm and math.isfinite(device.resistance_ohm):
        return Equipment(kind=Kind.UNKNOWN, resistance_ohm=Span.within(device.resistance_ohm, 0.5))
    return Equipment(kind=Kind.UNKNOWN, resistance_ohm=Span(1e3, 3e5, math.inf))


def _against(device: Device, given: Conditions) -> list[str]:
    """What speaks against leaving it in."""
    said = []
    if device.case_c is not None and device.case_c > given.touch_limit_c:
        said.append(
            f"Its case at {significant(device.case_c)} °C is above {significant(given.touch_limit_c)} °C "
            f"({FIGURES['touch']['source']})."
        )
    cable_c = FIGURES["cable"]["thermoplastic_c"]
    if device.case_c is not None and device.case_c > cable_c:
        said.append(f"Its case is hotter than the {significant(cable_c)} °C that cable insulation bears.")
    if device.resistance_ohm is not None and device.resistance_ohm < 50:
        said.append(f"{ohms(device.resistance_ohm)} is a winding or a fault, no remedy: find out what it is.")
    return said
