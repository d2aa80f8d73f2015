"""Text on paper: made printable, measured and wrapped. Nothing is ever cut off: a word too long for its
line is broken, and a character the typeface lacks becomes a visible mark.

Text is drawn directly and never read as markup, so there is nothing to escape. Right-to-left scripts are
printed letter by letter in the order they are stored, without joining or reordering.
"""

import re
import unicodedata
from functools import lru_cache

from reports.pdf.fonts import has_glyph, register
from reports.sheets.sheet import Fact
from reports.sheets.text import clean

REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
REPLACED = Fact(REPLACEMENT, "a character that cannot be printed here; it stands in the record")
_SHORT = 60  # longer texts are seldom seen twice and are not worth remembering
_UNBROKEN = "\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}"
_BREAK_AFTER = "/-–,;:.)"
# A space at which a line may end: not the one between a figure and its unit.
_SPACE = re.compile(r" (?!(?<=\d )(?:[pnµmkMG]?(?:Ω|V|A|VA|W|Wh|F|Hz|s|m)|mm²|°C|%)(?!\w))")


def printable(text: str) -> str:
    """The text as the typeface can print it: accents composed, invisible formatting marks dropped, and
    ``REPLACEMENT`` for a character that has no glyph.

    >>> printable("Zs 0.35 Ω ✓ 電")
    'Zs 0.35 Ω ✓ �'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_printed(character) for character in unicodedata.normalize("NFC", clean(text)))


@lru_cache(maxsize=4096)
def _printed(character: str) -> str:
    if character == "\n":
        return character
    if character in _UNBROKEN:
        return "\N{NO-BREAK SPACE}"
    if character.isspace():
        return " "
    if unicodedata.category(character) == "Cf" or unicodedata.name(character, "").startswith("VARIATION SEL"):
        return ""
    return character if has_glyph(character) else REPLACEMENT


@lru_cache(maxsize=16384)
def _ems(text: str) -> float:
    # Width at size 1, from the advance widths of the typeface in thousandths.
    face = register().face
    widths, default = face.charWidths, face.defaultWidth
    return sum(widths.get(ord(character), default) for character in text) / 1000


def text_width(text: str, size: float) -> float:
    """Width of printable text on one line, in points."""
    return _ems(text) * size


def wrap(text: str, size: float, width: float) -> tuple[str, ...]:
    """The printable text in lines no wider than ``width`` points. Breaks at spaces, and not between a figure
    and its unit where both fit; a word that is too long is broken after punctuation where it can be, else
    anywhere. At least one character stands on every line.
    """
    return _wrap_short(text, size, width) if len(text) <= _SHORT else _wrap(text, size, width)


def _wrap(text: str, size: float, width: float) -> tuple[str, ...]:
    ems = width / size
    return tuple(line for paragraph in text.split("\n") for line in _wrap_paragraph(paragraph, ems))


_wrap_short = lru_cache(maxsize=16384)(_wrap)


def _wrap_paragraph(paragraph: str, ems: float) -> list[str]:
    words = [
        word
        for bound in _SPACE.split(paragraph)
        for word in ((bound,) if _ems(bound) <= ems else bound.split(" "))
    ]
    if len(words) == 1 and _ems(paragraph) <= ems:
        return [paragraph]
    lines: list[str] = []
    line, line_ems, space = "", 0.0, _ems(" ")
    for word in filter(None, words):
        word_ems = _ems(word)
        if line and line_ems + space + word_ems <= ems:
            line, line_ems = f"{line} {word}", line_ems + space + word_ems
            continue
        if line:
            lines.append(line)
        if word_ems > ems:
            *full, word = _break_word(word, ems)
            lines += full
            word_ems = _ems(word)
        line, line_ems = word, word_ems
    return [*lines, line]


def _break_word(word: str, ems: float) -> list[str]:
    pieces = []
    while _fitting(word, ems) < len(word):
        end = _fitting(word, ems)
        soft = max((word.rfind(mark, 0, end) + 1 for mark in _BREAK_AFTER), default=0)
        end = soft if soft > end // 2 else end
        pieces.append(word[:end])
        word = word[end:]
    return [*pieces, word]


def _fitting(word: str, ems: float) -> int:
    # How many leading characters fit; at least one, and never so that a combining mark loses its letter.
    total, end = 0.0, 0
    for end, character in enumerate(word):
        total += _ems(character)
        if total > ems and end:
            break
    else:
        return len(word)
    while end > 1 and unicodedata.combining(word[end]):
        end -= 1
    return end


def one_line(text: str, size: float, width: float) -> str:
    """The printable text on one line, its end left out if it must be. Only for a heading that repeats what
    stands in full elsewhere in the same document.
    """
    text = text.replace("\n", " ")
    if text_width(text, size) <= width:
        return text
    return text[: _fitting(text, (width - text_width("…", size)) / size)].rstrip() + "…"
