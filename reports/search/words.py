"""Words as they are searched: free of case and accents, with the spellings that still find them.

Pure: the same text gives the same words in whichever database the record lies.
"""

import re
import unicodedata
from collections.abc import Iterator
from enum import IntEnum

LONGEST = 40  # letters of a word; what follows them tells no two apart
_SLIPS_FROM = 5  # letters; in a shorter word a slip makes another word
_PREFIXES_FROM = 3
_SPELT_OUT = str.maketrans({
    "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "μ": "u", "ω": "ohm",
    "'": None, "’": None,
})  # fmt: skip
_WORD = re.compile(r"/?\d+(?:\.\d+)?[^\W_]*|[^\W_]+")  # “/3” of “DB1/3” is a way, not the number 3
_POSTCODE = re.compile(r"\b([a-z]{1,2}\d[a-z\d]?)\s+(\d[a-z]{2})\b")
_POSTCODE_TYPED = re.compile(r"\b([a-z]{1,2})\s*(\d[a-z\d]?)\s*(\d)\s*([a-z]{2})\b")


class Match(IntEnum):
    """How well a typed word fits one of the record, best first."""

    EXACT = 0
    BEGINS = 1
    SLIP = 2


def fold(text: str) -> str:
    """Without case, accents and apostrophes.

    >>> fold("Café St Mary’s, 0.1 µF")
    'cafe st marys, 0.1 uf'
    """
    parts = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    return "".join(c for c in parts if not unicodedata.combining(c)).translate(_SPELT_OUT)


def words_of(*texts: str) -> tuple[str, ...]:
    """Every word of the texts once, a postcode also as one word.

    >>> words_of("Larkfield Hall, LF3 7QX"), words_of("DB1/3")
    (('larkfield', 'hall', 'lf3', '7qx', 'lf37qx'), ('db1', '/3'))
    """
    found: dict[str, None] = {}
    for text in map(fold, texts):
        found |= dict.fromkeys(word[:LONGEST] for word in _WORD.findall(text))
        found |= dict.fromkeys(f"{outward}{inward}" for outward, inward in _POSTCODE.findall(text))
    return tuple(found)


def with_postcode_joined(text: str) -> str:
    """What was typed with a postcode in it as one word, wherever its spaces stand.

    >>> with_postcode_joined("hall lf 37 qx")
    'hall lf37qx'
    """
    return _POSTCODE_TYPED.sub(r"\1\2\3\4", fold(text))


def spellings(word: str) -> Iterator[tuple[str, Match]]:
    """What is kept of a word of the record: itself, its beginnings, and it with one letter left out.

    >>> sorted(spelling for spelling, how in spellings("hall") if how is Match.BEGINS)
    ['hal']
    """
    yield word, Match.EXACT
    if not _is_number(word):
        yield from ((word[:length], Match.BEGINS) for length in range(_PREFIXES_FROM, len(word)))
        yield from ((shorter, Match.SLIP) for shorter in one_left_out(word))


def one_left_out(word: str) -> frozenset[str]:
    """The word without one of its letters, each in turn. Two words that share one of these, or one of which
    is one of the other's, differ by one slip: a letter wrong, missing, too many, or in another place. None
    of a word too short for that, nor of a number: 12 is not 13."""
    if len(word) < _SLIPS_FROM or _is_number(word):
        return frozenset()
    return frozenset(word[:n] + word[n + 1 :] for n in range(len(word)))


def _is_number(word: str) -> bool:
    return word.lstrip("/").replace(".", "").isdigit()
