"""The structure of a tagged PDF (ISO 32000-1, 14.7 and 14.8): what each text on a page is, in the order it is
read, so that a reader's program can read it aloud, enlarge it or take a table over.

The library underneath writes none. While a page is drawn, each marked text gets a number on its page; when
all is drawn, the tree of elements is added behind the PDF.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO

import pikepdf

from reports.pdf.update import update

PARA, ARTIFACT, SELF = "P", "Artifact", ""
"""Names beside those of the standard (H1, H2, Figure …): ARTIFACT is no part of what is said (a rule, a page
number); SELF says that whatever draws a piece tags what it draws."""


@dataclass(slots=True, eq=False)
class Element:
    """One element of the structure: its name in the standard, what it says to whoever does not see it, what
    else the standard asks of it, and its own elements or where its marked text stands."""

    name: str
    says: str = ""
    attributes: str = ""
    kids: Sequence["Element"] = ()
    page: int = -1
    mark: int = -1
    number: int = 0  # of its object in the file

    def add(self, kid: "Element") -> "Element":
        """The kid, now the last of this element's."""
        if not self.kids:
            self.kids = []  # most elements have none
        self.kids.append(kid)
        return kid


class Structure:
    """The elements of one document, in reading order."""

    def __init__(self) -> None:
        self.document = Element("Document")
        self._marked: list[list[Element]] = []
        self._tables: dict[int, Element] = {}

    def next_page(self) -> None:
        """What is marked from here on stands on the next page."""
        self._marked.append([])

    def begin(self, element: Element) -> str:
        """The operator that begins the marked text of an element."""
        here = self._marked[-1]
        element.page, element.mark = len(self._marked) - 1, len(here)
        here.append(element)
        return f"/{element.name} <</MCID {element.mark}>> BDC"

    def table(self, of: object) -> tuple[Element, bool]:
        """The table made of ``of``, which outlives the drawing, and whether it has just begun."""
        if id(of) in self._tables:
            return self._tables[id(of)], False
        table = self._tables[id(of)] = self.document.add(Element("Table"))
        return table, True

    def announce(self, book: pikepdf.Pdf) -> None:
        """Say in the PDF that it is tagged, and leave a place for the structure."""
        book.Root.StructTreeRoot = book.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.StructTreeRoot))
        book.Root.MarkInfo = pikepdf.Dictionary(Marked=True)
        for number, page in enumerate(book.pages):
            page.StructParents, page.Tabs = number, pikepdf.Name.S

    def added_to(self, pdf: bytes) -> bytes:
        """The PDF in which it was announced, with the structure behind it."""
        with pikepdf.open(BytesIO(pdf)) as book:
            root = book.Root.StructTreeRoot.objgen[0]
            pages = [page.obj.objgen[0] for page in book.pages]
            elements = [self.document]
            for element in elements:  # which grows on the way: every element, those of one parent in a row
                elements += element.kids
            for number, element in enumerate(elements, start=int(book.trailer.Size)):
                element.number = number
            return pdf + update(pdf, book, root, self._objects(root, elements, pages))

    def _objects(self, root: int, elements: list[Element], pages: list[int]) -> Iterator[str]:
        """The text of the root, and of every element in turn."""
        parents = " ".join(
            f"{page} [{' '.join([f'{element.number} 0 R' for element in marked])}]"
            for page, marked in enumerate(self._marked)
        )
        yield (
            f"<</Type/StructTreeRoot/K {elements[0].number} 0 R/ParentTree <</Nums [{parents}]>>"
            f"/ParentTreeNextKey {len(self._marked)}>>"
        )
        yield _written(elements[0], root, pages)
        for element in elements:
            for kid in element.kids:
                yield _written(kid, element.number, pages)


def _written(element: Element, parent: int, pages: list[int]) -> str:
    content = says = attributes = ""
    if element.page >= 0:
        content = f"/Pg {pages[element.page]} 0 R/K {element.mark}"
    elif element.kids:
        content = f"/K [{' '.join([f'{kid.number} 0 R' for kid in element.kids])}]"
    if element.says:
        says = f"/Alt <FEFF{element.says.encode('utf-16-be').hex()}>"
    if element.attributes:
        attributes = f"/A <</O/Table{element.attributes}>>"
    return f"<</Type/StructElem/S/{element.name}/P {parent} 0 R{says}{attributes}{content}>>"
