"""The one typeface of our PDFs: DejaVu Sans, regular, from the package ziafont. It holds Latin, Greek and
Cyrillic and every sign the trade prints, its figures are all of one width, and it is embedded in each file.
"""

from functools import cache
from importlib.resources import as_file, files

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

FONT = "DejaVuSans"


@cache
def register() -> TTFont:
    """Make the typeface known to reportlab, once, and return it."""
    with as_file(files("ziafont") / "fonts" / "DejaVuSans.ttf") as path:
        font = TTFont(FONT, str(path))
    pdfmetrics.registerFont(font)
    return font


def has_glyph(character: str) -> bool:
    """Whether the typeface can print the character so that it can also be copied out of the file again.

    Beyond U+FFFF the answer is always no: reportlab writes no usable Unicode table for those.
    """
    return ord(character) <= 0xFFFF and ord(character) in register().face.charToGlyph
