"""Circuit numbers as people write them, to way and phase."""

import re

from inspections.intake.units import plain_text

ALL_PHASES = "L123"
_OLD_COLOURS = {"R": "L1", "Y": "L2", "B": "L3"}  # common practice before the harmonised colours, no source

_SEPARATOR = r"[\s/.,:_-]*"
_THREE = r"L1[\s/,+&-]*L2[\s/,+&-]*L3|L1\s*-\s*L?3|L123|TP\s*&?\s*N?|3\s*-?\s*PH(?:ASE)?|3P\+?N?"
_WORDS = re.compile(r"^(?:circuit|cct|ckt|way|no)\b[\s.:]*(?=\d)", re.IGNORECASE)
_WAY_PHASE = re.compile(rf"(?P<way>\d+){_SEPARATOR}(?P<phase>L[123])")
_PHASE_WAY = re.compile(r"(?P<phase>L[123])[\s/.,:_-]+(?P<way>\d+)")
_WAY_THREE = re.compile(rf"(?P<way>\d+)(?:[\s/.,:_-]+(?:{_THREE})|(?:L123|TPN?|L1[\s/,+&-]*L2[\s/,+&-]*L3))")
_THREE_WAY = re.compile(rf"(?:TPN?){_SEPARATOR}(?P<way>\d+)")
_WAY_COLOUR = re.compile(r"(?P<way>\d+)[\s/.,:_-]*(?P<colour>[RYB])")
_LOOKS_LIKE_NUMBER = re.compile(r"[A-Za-z]{0,4}[\s./-]?\d[\w\s./,&()+-]{0,15}|[A-Za-z]\d{0,3}")


def split_circuit(text: str) -> tuple[str, str]:
    """Way and phase. A number with no phase is the way alone; anything else is kept as the way, as written.

    >>> split_circuit("1 L1"), split_circuit("2L3"), split_circuit("L2/4")
    (('1', 'L1'), ('2', 'L3'), ('4', 'L2'))
    >>> split_circuit("5 TP"), split_circuit("07"), split_circuit("A3")
    (('5', 'L123'), ('7', ''), ('A3', ''))
    """
    written = _WORDS.sub("", plain_text(text)).strip()
    plain = written.upper().replace("(", " ").replace(")", " ").strip()
    if plain.isdecimal():
        return _number(plain), ""
    if match := _WAY_PHASE.fullmatch(plain) or _PHASE_WAY.fullmatch(plain):
        return _number(match["way"]), match["phase"]
    if match := _WAY_THREE.fullmatch(plain) or _THREE_WAY.fullmatch(plain):
        return _number(match["way"]), ALL_PHASES
    return written, ""


def read_phase(text: str) -> str | None:
    """The phase a cell of its own names; empty for single-phase; None when it names none.

    >>> read_phase("l2"), read_phase("TP&N"), read_phase("Y"), read_phase("1"), read_phase("green")
    ('L2', 'L123', 'L2', '', None)
    """
    plain = plain_text(text).upper()
    if plain in ("L1", "L2", "L3"):
        return plain
    if plain in ("3", "ALL") or re.fullmatch(_THREE, plain):
        return ALL_PHASES
    if plain in ("", "1", "L", "-", "N/A", "SP", "SP&N", "SPN", "1PH", "1P", "SINGLE", "SINGLE-PHASE"):
        return ""
    return _OLD_COLOURS.get(plain)


def looks_like_circuit(text: str) -> bool:
    """Whether a lone text may be a circuit number, not a sentence.

    >>> looks_like_circuit("12"), looks_like_circuit("1 L1"), looks_like_circuit("See over")
    (True, True, False)
    """
    return bool(_LOOKS_LIKE_NUMBER.fullmatch(plain_text(text)))


def split_colour(text: str) -> tuple[str, str, str] | None:
    """Way, phase and the letter of the former colour of its line conductor: ``4R`` is 4, L1, R. Only the
    whole board can tell whether the letter is a colour, so the caller decides."""
    match = _WAY_COLOUR.fullmatch(plain_text(text).upper())
    return (_number(match["way"]), _OLD_COLOURS[match["colour"]], match["colour"]) if match else None


def _number(digits: str) -> str:
    return digits.lstrip("0") or "0"
