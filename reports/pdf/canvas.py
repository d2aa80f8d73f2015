"""The canvas all our PDFs are drawn on: the library's own, with text and colours written as the operators of
ISO 32000-1 directly. The library formats each number and measures each text anew, which is most of what a
page of figures costs.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache, partial
from itertools import chain
from typing import BinaryIO

from reportlab import rl_config
from reportlab.lib.colors import Color
from reportlab.pdfgen import canvas

from reports.pdf.fonts import FONT, register
from reports.pdf.tags import ARTIFACT, SELF, Element, Structure

rl_config.useA85 = 0  # streams as they are, not as letters: a fifth smaller, and a photograph keeps its bytes

Word = tuple[float, float, str]
"""Where the left end of a text stands, and the text: (x, y, text)."""

_STRONG = 0.035  # width of the stroke that thickens strong text, of its size
_ESCAPES = {code: f"\\{code:03o}" for code in (*range(32), *range(127, 256))} | {
    ord(sign): f"\\{sign}" for sign in "\\()"
}
_REMEMBERED = 8192  # texts whose operators are kept; a schedule says few things many times


class Canvas(canvas.Canvas):
    """An empty document. The same drawing gives the same bytes. structure: takes what each text is, where the
    document is to be tagged."""

    def __init__(
        self,
        file: BinaryIO,
        size: tuple[float, float],
        *,
        language: str = "en-GB",
        structure: Structure | None = None,
    ) -> None:
        font = register()
        super().__init__(
            file, pagesize=size, invariant=1, pageCompression=1, initialFontName=FONT, lang=language
        )
        self.setCreator("Stillacross")
        self.setViewerPreference("DisplayDocTitle", "true")
        self.structure = structure
        self._shown = lru_cache(_REMEMBERED)(partial(_shown, font, self._doc, " " if structure else ""))

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
        self.addLiteral(f"BT {self._placed(words, size)} ET")

    def _placed(self, words: Iterable[Word], size: float) -> str:
        shown = self._shown
        return " ".join([f"1 0 0 1 {x:.2f} {y:.2f} Tm {shown(text, size)}" for x, y, text in words])

    def rule(self, left: float, right: float, y: float, width: float, colour: Color) -> None:
        """A horizontal rule."""
        self.addLiteral(f"{_parts(colour)} RG {width} w {left:.2f} {y:.2f} m {right:.2f} {y:.2f} l S")

    @contextmanager
    def tagged(self, name: str, says: str = "") -> Iterator[None]:
        """What is drawn inside is one element of the document, or ARTIFACT, or tags itself (SELF)."""
        if self.structure is None or name == SELF:
            yield
            return
        if name == ARTIFACT:
            self.addLiteral("/Artifact BMC")
        else:
            element = self.structure.document.add(Element(name, says))
            self.addLiteral(self.structure.begin(element))
        yield
        self.addLiteral("EMC")

    @contextmanager
    def table_head(self, of: object) -> Iterator[Element | None]:
        """The table made of ``of``, to put its headings into; None where nothing is tagged, and where the
        head is only repeated, which makes it an artifact."""
        if self.structure is None:
            yield None
            return
        table, is_new = self.structure.table(of)
        if is_new:
            yield table
        else:
            with self.tagged(ARTIFACT):
                yield None

    @contextmanager
    def heading_of(self, columns: int, row: Element | None, scope: str = "Column") -> Iterator[None]:
        """What is drawn inside is the heading of so many columns, in a row of a table's head."""
        if row is None:
            yield
            return
        span = f"/ColSpan {columns}" if columns > 1 else ""
        heading = row.add(Element("TH", attributes=f"/Scope/{scope}{span}"))
        self.addLiteral(self.structure.begin(heading))
        yield
        self.addLiteral("EMC")

    @contextmanager
    def heading_across(self, of: object, columns: int) -> Iterator[None]:
        """What is drawn inside is a heading across all columns, among the rows of a table."""
        row = self.structure and self.structure.table(of)[0].add(Element("TR"))
        with self.heading_of(columns, row, "Row"):
            yield

    def write_row(self, of: object, cells: Iterable[Sequence[Word]], size: float) -> None:
        """A row of the table made of ``of``, each cell the words of its lines."""
        if self.structure is None:
            self.write_all(chain.from_iterable(cells), size)
            return
        element, _ = self.structure.table(of)
        row = element.add(Element("TR"))
        shown = []
        for words in cells:
            cell = row.add(Element("TD"))
            if words:
                shown += (self.structure.begin(cell), self._placed(words, size), "EMC")
        self.addLiteral(f"BT {' '.join(shown)} ET")


def _shown(font, document, end: str, text: str, size: float) -> str:
    # The typeface stands in the file as several subsets of 256 characters, each a font of its own. end: what
    # keeps the text apart from the next when both are read aloud.
    return " ".join(
        f"{font.getSubsetInternalName(subset, document)} {size:g} Tf ({_escaped(codes)}) Tj"
        for subset, codes in font.splitString(text + end, document)
    )


def _escaped(codes: bytes) -> str:
    return codes.decode("latin-1").translate(_ESCAPES)


@lru_cache(maxsize=64)
def _parts(colour: Color) -> str:
    return " ".join(f"{part:.6g}" for part in colour.rgb())
