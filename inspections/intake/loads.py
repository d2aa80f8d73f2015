"""The electrical values of a parallel load, from one cell such as ``0.1 µF X2 275 V``."""

import re

from inspections.intake.units import convert, plain_text, read_unit

_FIGURE = r"(?P<digits>\d+(?:\.\d+)?)\s*(?P<unit>[pnuµ]F|[kKMm]?(?:Ω|ohms?)|mW|W|VA|V|%)"
_PART = re.compile(
    rf"(?:(?P<series>\d+)\s*[×x]\s*)?(?P<about>±\s*)?{_FIGURE}(?:\s+(?P<discharge>discharge)(?:\s+resistor)?)?"
    r"|(?P<class>[XY][12])\b",
    re.IGNORECASE,
)
_JOINING = re.compile(r"(?:with|and|in series|rated|[,;+/]|a\.?c\.?|\s)+", re.IGNORECASE)
_COLUMNS = {
    "F": ("capacitance_uf", "µF"),
    "Ω": ("resistance_ohm", "Ω"),
    "V": ("rated_voltage_v", "V"),
    "W": ("rated_power_w", "W"),
    "%": ("tolerance_percent", "%"),
}


def load_values(text: str) -> dict[str, str]:
    """The values a text names, by column of the load register; empty when some of it is not understood.

    >>> load_values("0.1 µF X2 275 V")
    {'capacitance_uf': '0.1', 'capacitor_class': 'X2', 'rated_voltage_v': '275'}
    >>> load_values("2 × 470 kΩ 2 W"), load_values("as found")
    ({'resistors_in_series': '2', 'resistance_ohm': '470000', 'rated_power_w': '2'}, {})
    >>> load_values("63 VA 230 V")
    {'rated_power_w': '63', 'rated_voltage_v': '230'}
    """
    plain = plain_text(text)
    if not re.fullmatch(_JOINING.pattern, _PART.sub(" ", plain) or " ", re.IGNORECASE):
        return {}
    values: dict[str, str] = {}
    for part in _PART.finditer(plain):
        for name, value in _values_of(part):
            if name in values:
                return {}  # two of a kind: which is which is not ours to guess
            values[name] = value
    return values


def _values_of(part: re.Match[str]) -> list[tuple[str, str]]:
    if part["class"]:
        return [("capacitor_class", part["class"].upper())]
    # A transformer's volt-amperes stand in the register's one column for power.
    unit = read_unit("W" if part["unit"].upper() == "VA" else part["unit"])
    if unit is None:
        return []
    name, symbol = _COLUMNS[unit.base]
    wanted = read_unit(symbol)
    value = convert(part["digits"], unit, wanted) if wanted else part["digits"]
    if part["discharge"] and name == "resistance_ohm":
        name = "discharge_resistor_ohm"
    series = [("resistors_in_series", part["series"])] if part["series"] else []
    return [*series, (name, value)]
