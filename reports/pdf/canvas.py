"""The canvas all our PDFs are drawn on: the library's own, with text and colours written as the operators of
ISO 32000-1 directly. The library formats each number and measures each text anew, which is most of what a
page of figures costs.
"""

from collections.abc import Iterable
from functools import lru_cache, partial
from typing import BinaryIO

from reportlab import rl_config
from reportlab.lib.colors import Color
from reportlab.pdfgen import canvas

from reports.pdf.fonts import FONT, register

rl_config.useA85 = 0  # streams as they are, not as letters: a fifth smaller, and a photograph keeps its bytes

Word = tuple[float, float, str]
"""Where the left end of a text stands, and the text: (x, y, text)."""

_STRONG = 0.035  # width of the stroke that thickens strong text, of its size
_ESCAPES = {code: f"\\{code:03o}" for code in (*range(32), *range(127, 256))} | {
    ord(sign): f"\\{sign}" for sign in "\\()"
}
_REMEMBERED = 8192  # texts whose operators are kept; a schedule says few things many times


class Canvas(canvas.Canvas):
    """An empty document. The same drawing gives the same bytes."""

    def __init__(self, file: BinaryIO, size: tuple[float, float], *, language: str = "en-GB") -> None:
        font = register()
        super().__init__(
            file, pagesize=size, invariant=1, pageCompression=1, initialFontName=FONT, lang=language
        )
        self.setCreator("Stillacross")
        self._shown = lru_cache(_REMEMBERED)(partial(_shown, font, self._doc))

    def ink(self, colour: Color) -> None:
        """Draw text, and the strokes that thicken it, in this colour."""
        parts = _parts(colour)
        self.addLiteral(f"{parts} rg {parts} RG")

    def write(self, x: float, y: float, text: str, size: float, *, strong: bool = False) -> None:
        """One line of printable text with its left end at (x, y). Strong text is thickened by a stroke, since
        only the regular face is carried."""
        if strong:
            self.addLiteral(f"{size * _STRONG:.3f} w 2 Tr")
        self.write_all(((x, y, text),), size)
        if strong:
            self.addLiteral("0 Tr")

    def write_all(self, words: Iterable[Word], size: float) -> None:
        """Many printable texts of one size."""
        shown = " ".join(f"1 0 0 1 {x:.2f} {y:.2f} Tm {self._shown(text, size)}" for x, y, text in words)
        self.addLiteral(f"BT {shown} ET")

    def rule(self, left: float, right: float, y: float, width: float, colour: Color) -> None:
        """A horizontal rule."""
        self.addLiteral(f"{_parts(colour)} RG {width} w {left:.2f} {y:.2f} m {right:.2f} {y:.2f} l S")


def _shown(font, document, text: str, size: float) -> str:
    # The typeface stands in the file as several subsets of 256 characters, each a font of its own.
    return " ".join(
        f"{font.getSubsetInternalName(subset, document)} {size:g} Tf ({_escaped(codes)}) Tj"
        for subset, codes in font.splitString(text, document)
    )


def _escaped(codes: bytes) -> str:
    return codes.decode("latin-1").translate(_ESCAPES)


@lru_cache(maxsize=64)
def _parts(colour: Color) -> str:
    return " ".join(f"{part:.6g}" for part in colour.rgb())
