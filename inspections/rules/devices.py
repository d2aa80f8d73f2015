"""Protective devices and RCDs as the trade types them: the one place where their spellings are made alike."""

import re
from dataclasses import dataclass
from functools import lru_cache

from inspections.rules.edition import DeviceStandard, Edition

_PREFIXES = re.compile(r"\b(BSEN|BS|EN|IEC|HD|PART|PT)\b")
_LETTER_TO_DIGIT = re.compile(r"(?<=[A-Z])(?=\d)|(?<=\d)(?=[A-Z])")
_NOT_WORD = re.compile(r"[^0-9A-Z]+")


@dataclass(frozen=True, slots=True)
class Device:
    """A protective device of a known standard. type: in capitals, e.g. B, GG, II, S2A; or empty."""

    standard: DeviceStandard
    type: str


@dataclass(frozen=True, slots=True)
class RcdType:
    """What an RCD detects (AC, A, F, B, or empty where not said) and whether it is delayed (type S)."""

    detects: str
    delayed: bool


@lru_cache(maxsize=1024)
def device(edition: Edition, standard: str, device_type: str) -> Device | None:
    """The device of that standard and type, or None where this edition does not know the standard.

    >>> from inspections.rules.edition import load
    >>> bs7671 = load("bs7671_2018_a2_2022")
    >>> device(bs7671, "60898-1", "Type b").type
    'B'
    >>> device(bs7671, "BS88.3", "").standard.standard
    'BS 88-3'
    """
    written = numbers(standard)
    known = [(spelling, kind) for kind in edition.devices for spelling in kind.spellings]
    matches = [(spelling, kind) for spelling, kind in known if _within(spelling, written)]
    if not matches:
        return None
    spelling, kind = max(matches, key=lambda match: len(match[0]))
    after = f"-{written}-".partition(f"-{spelling}-")[2].strip("-").rpartition("-")[2]
    return Device(kind, _type(device_type) or (after if after.isalpha() else ""))


@lru_cache(maxsize=256)
def rcd_type(written: str) -> RcdType | None:
    """The RCD type as typed, or None where it cannot be read.

    >>> rcd_type("A S"), rcd_type("type AC").detects
    (RcdType(detects='A', delayed=True), 'AC')
    """
    text = re.sub(r"\b(TYPE|RCD|RCBO|RCCB)\b", " ", written.upper())
    text = re.sub(r"SELECTIVE|TIME.?DELAYED|DELAYED", " S ", text)
    words = [word for word in re.split(r"[^A-Z]+", text) if word and word != "G"]
    if len(words) == 1 and (match := re.fullmatch(r"(AC|A|F|B)?(S)?", words[0])):
        return RcdType(match[1] or "", match[2] is not None)
    kinds = [word for word in words if word in ("AC", "A", "F", "B")]
    if len(kinds) > 1 or any(word not in (*kinds, "S") for word in words):
        return None
    return RcdType(kinds[0] if kinds else "", "S" in words)


@lru_cache(maxsize=1024)
def numbers(standard: str) -> str:
    """A standard without BS, EN and the like, its parts joined by dashes.

    >>> numbers("BS EN 60898-1"), numbers("bs88 part 2.2"), numbers("61009B")
    ('60898-1', '88-2-2', '61009-B')
    """
    text = _LETTER_TO_DIGIT.sub(" ", _NOT_WORD.sub(" ", standard.upper()))
    return "-".join(_PREFIXES.sub(" ", text).split())


def _within(spelling: str, written: str) -> bool:
    return f"-{spelling}-" in f"-{written}-"


def _type(written: str) -> str:
    """``Type b`` → B, ``B32`` → B, ``system E`` → E, ``gG`` → GG, ``ii`` → II, ``M6`` → M6."""
    text = re.sub(r"\b(TYPE|SYSTEM|CURVE)\b", " ", written.upper()).strip()
    if match := re.fullmatch(r"([BCD])\s*-?\s*\d+\s*A?", text):
        return match[1]
    return re.sub(r"\s+", "", text)
