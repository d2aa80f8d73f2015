"""Reading our PDFs back with a library that had no part in writing them."""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from io import BytesIO

import pdfplumber

from reports.pdf.page import MARGIN
from reports.pdf.table import column_edges
from reports.pdf.text import printable
from reports.sheets.sheet import Sheet
from reports.sheets.text import cell_text


@contextmanager
def opened(pdf: bytes) -> Iterator[pdfplumber.PDF]:
    """The book, left open for the next test: its pages keep what was read of them, which takes longer than to
    draw them."""
    yield _book(pdf)


@lru_cache(maxsize=4)
def _book(pdf: bytes) -> pdfplumber.PDF:
    return pdfplumber.open(BytesIO(pdf))


def page_texts(pdf: bytes) -> list[str]:
    with opened(pdf) as book:
        return [page.extract_text() for page in book.pages]


def squeezed(text: str) -> str:
    """The text without white space, so that a wrapped text compares with a whole one."""
    return "".join(text.split())


def all_text(pdf: bytes) -> str:
    """Every character of the file in the order it was drawn, without white space."""
    with opened(pdf) as book:
        return squeezed("".join(char["text"] for page in book.pages for char in page.chars))


def column_text(pages, sheet: Sheet, column: int) -> str:
    """What stands between the two edges of a column, page after page, without white space."""
    edges = column_edges(sheet.columns, pages[0].width - 2 * MARGIN)
    left, right = MARGIN + edges[column], MARGIN + edges[column + 1]
    return squeezed(
        "".join(
            char["text"]
            for page in pages
            for char in page.chars
            if left <= (char["x0"] + char["x1"]) / 2 < right
        )
    )


def missing_cells(pages, sheet: Sheet) -> list[tuple[int, str, str]]:
    """(row, column, text) of each cell that is not found in its column, in the order of the rows."""
    missing = []
    for index, column in enumerate(sheet.columns):
        text, position = column_text(pages, sheet, index), 0
        for number, row in enumerate(sheet.rows):
            wanted = squeezed(printable(cell_text(row[index])))
            found = text.find(wanted, position)
            if found < 0:
                missing.append((number, column.name, wanted))
            else:
                position = found + len(wanted)
    return missing
