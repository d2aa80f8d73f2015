"""Electrical values in the words that labels, sheets and screens share."""

from decimal import Decimal


def plain(value: Decimal) -> str:
    """A decimal without trailing zeros or exponent: ``0.1``, ``275``.

    >>> plain(Decimal("0.1000"))
    '0.1'
    >>> plain(Decimal("1E+3"))
    '1000'
    """
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


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
        parts.append(f"{plain(load.rated_power_w)} W")
    return " ".join(parts)
