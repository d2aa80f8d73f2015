"""Tables of standards that belong to no edition of the wiring rules: conductors and test instruments."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib.resources import files

from inspections.rules.finding import Source
from inspections.rules.rule_file import Part, Value

FILE = files("inspections.rules") / "tables.toml"
AT_C = Decimal(20)  # the temperature that the conductor tables are printed for


@dataclass(frozen=True, slots=True)
class ConductorTable:
    """Largest resistance at 20 °C in mΩ/m by cross-sectional area in mm²."""

    mohm_per_m: Mapping[Decimal, Decimal]
    source: Source


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    copper_solid_or_stranded: ConductorTable
    copper_flexible: ConductorTable
    per_kelvin: Value
    insulation_rated_current_ma: Value
    insulation_uncertainty: Value


@cache
def load() -> Tables:
    """The tables, read once."""
    return read(FILE.read_text(encoding="utf-8"))


def read(text: str) -> Tables:
    """Tables from the text of their file. Raises EditionError saying what is wrong and where."""
    content = tomllib.loads(text, parse_float=Decimal)
    top = Part(content, "tables.toml", str(content.get("title", "")))
    solid, flexible = top.part("copper_solid_or_stranded"), top.part("copper_flexible")
    tester = top.part("insulation_tester")
    return Tables(
        ConductorTable(solid.by_rating("mohm_per_m"), solid.source()),
        ConductorTable(flexible.by_rating("mohm_per_m"), flexible.source()),
        top.part("temperature").value("per_kelvin"),
        tester.value("rated_current_ma"),
        tester.value("uncertainty"),
    )


def temperature_factor(celsius: Decimal) -> Decimal:
    """What the 20 °C resistance is multiplied by at another temperature of the conductor.

    1 + 0.004 × (t − 20), IEC 60228 correction factors. Copper, −20 to 90 °C.

    >>> temperature_factor(Decimal(70)), temperature_factor(Decimal(5))
    (Decimal('1.200'), Decimal('0.940'))
    """
    return 1 + load().per_kelvin.number * (celsius - AT_C)
