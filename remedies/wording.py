"""Electrical values in the words that labels, sheets and screens share."""

from decimal import Decimal

from inspections.rules.figures import plain
from remedies.enums import Connection, LoadKind


def ohms(value: Decimal) -> str:
    """A resistance with the multiple the trade would write.

    >>> ohms(Decimal(470000)), ohms(Decimal(390)), ohms(Decimal("2200000"))
    ('470 kΩ', '390 Ω', '2.2 MΩ')
    """
    for size, unit in ((Decimal(1_000_000), "MΩ"), (Decimal(1000), "kΩ")):
        if value >= size:
            return f"{plain(value / size)} {unit}"
    return f"{plain(value)} Ω"


def values_in_words(load) -> str:
    """The known electrical values of a load or preset: ``0.1 µF with 1 MΩ discharge resistor, 275 V``."""
    parts = []
    if load.capacitance_uf is not None:
        parts.append(f"{plain(load.capacitance_uf)} µF")
    if load.resistance_ohm is not None:
        series = f"{load.resistors_in_series} × " if load.resistors_in_series > 1 else ""
        parts.append(f"{series}{ohms(load.resistance_ohm)}")
    if load.discharge_resistor_ohm is not None:
        parts.append(f"with {ohms(load.discharge_resistor_ohm)} discharge resistor")
    if load.rated_voltage_v is not None:
        parts.append(f"{load.rated_voltage_v} V")
    if load.rated_power_w is not None:
        parts.append(f"{plain(load.rated_power_w)} {_power_unit(load)}")
    return " ".join(parts)


def _power_unit(load) -> str:
    return "VA" if load.kind == LoadKind.TRANSFORMER else "W"


_BRIEF = {
    LoadKind.CAPACITOR: "capacitor",
    LoadKind.RC_NETWORK: "RC",
    LoadKind.NEON: "neon",
    LoadKind.INDICATOR: "indicator neon",
    LoadKind.RESISTOR: "resistor",
    LoadKind.LOAD_MODULE: "load module",
    LoadKind.TRANSFORMER: "transformer",
    LoadKind.DRIVER: "driver",
    LoadKind.DIMMER: "dimmer",
    LoadKind.TIMER: "timer",
    LoadKind.SENSOR: "sensor",
    LoadKind.SURGE: "surge protection",
    LoadKind.EQUIPMENT: "equipment",
    LoadKind.UNKNOWN: "unknown load",
}
_USUAL = (Connection.L_N, Connection.SWITCHED_L_N)


def in_brief(load) -> str:
    """The part in the few words a cell or a label holds: ``2 × X2 0.1 µF``, ``neon 220 kΩ``.

    The one value that tells most stands alone; the connection is named only where it is not line to neutral.
    """
    words = [load.capacitor_class or _BRIEF[load.kind], _telling_value(load)]
    if load.discharge_resistor_ohm is not None:
        words.append(f"with {ohms(load.discharge_resistor_ohm)}")
    if load.connection not in _USUAL:
        words.append(load.connection)
    text = " ".join(word for word in words if word)
    return f"{load.count} × {text}" if load.count > 1 else text


def _telling_value(load) -> str:
    resistance = "" if load.resistance_ohm is None else ohms(load.resistance_ohm)
    if resistance and load.resistors_in_series > 1:
        resistance = f"{load.resistors_in_series} × {resistance} in series"
    capacitance = "" if load.capacitance_uf is None else f"{plain(load.capacitance_uf)} µF"
    if capacitance or resistance:
        return " + ".join(value for value in (resistance, capacitance) if value)
    if load.rated_power_w is not None:
        return f"{plain(load.rated_power_w)} {_power_unit(load)}"
    if load.kind == LoadKind.SURGE and load.rated_voltage_v is not None:
        return f"{load.rated_voltage_v} V"
    return ""
