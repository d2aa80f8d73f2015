"""Units in headings and beside numbers, and exact conversion between multiples of one unit."""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Unit:
    """symbol: as we print it. base: what it is a multiple of. power: of ten."""

    symbol: str
    base: str
    power: int


# Beside Ω the case of the letter decides: m is a thousandth, M a million.
_PREFIXES = {"": 0, "m": -3, "k": 3, "K": 3, "M": 6, "G": 9}
_OHM_WORDS = ("Ω", "ω", "ohm", "ohms", "Ohm", "Ohms", "OHM", "OHMS", "?")  # a file without Ω keeps it as “?”
_OHMS = {
    f"{prefix}{word}": Unit(f"{'k' if prefix == 'K' else prefix}Ω", "Ω", power)
    for prefix, power in _PREFIXES.items()
    for word in _OHM_WORDS
} | {
    f"{prefix}{ending}": Unit(symbol, "Ω", power)
    for prefix, symbol, power in (
        ("meg", "MΩ", 6),
        ("mega", "MΩ", 6),
        ("kil", "kΩ", 3),
        ("kilo", "kΩ", 3),
        ("milli", "mΩ", -3),
    )
    for ending in ("ohm", "ohms")
}
_OTHERS = {
    word.casefold(): Unit(symbol, base, power)
    for symbol, base, power, words in (
        ("mA", "A", -3, ("ma", "milliamp", "milliamps")),
        ("A", "A", 0, ("a", "amp", "amps", "ampere", "amperes")),
        ("kA", "A", 3, ("ka",)),
        ("V", "V", 0, ("v", "volt", "volts", "vdc", "v dc", "v d.c.")),
        ("kV", "V", 3, ("kv",)),
        ("ms", "s", -3, ("ms", "msec", "msecs", "millisecond", "milliseconds")),
        ("s", "s", 0, ("s", "sec", "secs", "second", "seconds")),
        ("mm²", "mm²", 0, ("mm2", "mm^2", "sq mm", "sqmm", "sq. mm", "mm sq", "mmsq")),
        ("µF", "F", -6, ("µf", "uf", "microfarad", "mfd")),
        ("nF", "F", -9, ("nf", "nanofarad")),
        ("pF", "F", -12, ("pf", "picofarad")),
        ("W", "W", 0, ("w", "watt", "watts")),
        ("mW", "W", -3, ("mw",)),
        ("%", "%", 0, ("%", "±%", "± %", "+/-%")),
        ("min", "min", 0, ("min", "mins", "minute", "minutes")),
    )
    for word in words
}
_VALUE = re.compile(r"(?P<relation>[<>]?)\s*(?P<digits>\d+(?:\.\d+)?|\.\d+)\s*(?P<unit>[^\d\s.,].*)")

_RAISED_AFTER_A_FIGURE = re.compile(r"(?<=\d)(?=[⁰¹²³⁴⁵⁶⁷⁸⁹])")


def plain_text(text: str) -> str:
    """Text with one spelling for each sign: one Ω, one µ, one dash, no raised or lowered figures.

    A figure raised after another figure stays apart, lest 10² be read as 102.

    >>> plain_text("1.5 mm²"), plain_text("10²")
    ('1.5 mm2', '10^2')
    """
    if text.isascii():
        return " ".join(text.split())
    text = _RAISED_AFTER_A_FIGURE.sub("^", text)
    text = unicodedata.normalize("NFKC", text).replace("μ", "µ")
    text = re.sub(r"[‐‑‒–—―−]", "-", text)
    return re.sub(r"\s+", " ", text).strip()


def read_unit(text: str) -> Unit | None:
    """The unit a text names, or None.

    >>> read_unit("MOhm").symbol, read_unit("mΩ").symbol, read_unit("MA").symbol, read_unit("sq mm").symbol
    ('MΩ', 'mΩ', 'mA', 'mm²')
    """
    word = plain_text(text)
    return _OHMS.get(word) or _OHMS.get(word.casefold()) or _OTHERS.get(word.casefold())


def convert(digits: str, given: Unit, wanted: Unit) -> str:
    """The same quantity in another multiple, exactly: no digit is lost and none is made up.

    >>> convert("350", read_unit("mΩ"), read_unit("Ω")), convert("0.028", read_unit("s"), read_unit("ms"))
    ('0.350', '28')
    """
    return f"{Decimal(digits).scaleb(given.power - wanted.power):f}"


def split_value(text: str) -> tuple[str, str, Unit] | None:
    """Relation, digits and unit of a text such as ``>200 MΩ``; None when it is not a number with a unit."""
    match = _VALUE.fullmatch(plain_text(text))
    unit = read_unit(match["unit"]) if match else None
    return (match["relation"], match["digits"], unit) if match and unit else None
