"""What may stand in a workbook: names of its sheets, number formats, and header and footer texts."""

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

from reports.sheets.sheet import SheetError
from reports.sheets.text import clean

_MAX_TEXT = 32_767  # characters a cell holds; limit of the spreadsheet programs
_MAX_NAME = 31
_MAX_FOOTER_PART = 70  # the three parts of a footer share 255 characters
_NOT_IN_NAMES = re.compile(r"[\[\]:*?/\\\n]+")
_EXACT = re.compile(r"(?!-[0.]+$)-?(?:0|[1-9]\d*)(?:\.(?P<decimals>\d+))?")
_MAX_DIGITS = 15  # what a spreadsheet's number keeps


@lru_cache(maxsize=4096)
def number_format(text: str) -> str | None:
    """The number format that shows the text again exactly, or None where the text is no such number:
    ``>200``, ``LIM``, ``.5``, or more than 15 digits.

    >>> number_format("0.50"), number_format("28"), number_format(">200")
    ('0.00', '0', None)
    """
    match = _EXACT.fullmatch(text)
    if match is None or sum(map(str.isdigit, text)) > _MAX_DIGITS:
        return None
    decimals = match["decimals"]
    return "0." + "0" * len(decimals) if decimals else "0"


def whole_text(text: str) -> str:
    """The text as a cell holds it. Raises SheetError where it is longer than one can."""
    text = clean(text)
    if len(text) > _MAX_TEXT:
        raise SheetError(
            f"A text of {len(text):,} characters, beginning “{text[:40]}”, does not fit: "
            f"a workbook cell holds {_MAX_TEXT:,}. Shorten it, or use the PDF."
        )
    return text


def sheet_names(titles: Iterable[str]) -> Iterator[str]:
    """A valid name for each title, in order, no two alike (a spreadsheet does not tell capitals apart).

    >>> list(sheet_names(["DB1: results", "db1 results", ""]))
    ['DB1 results', 'db1 results (2)', 'Sheet']
    """
    taken = {"history"}  # kept by one spreadsheet program for itself
    for title in titles:
        wanted = " ".join(_NOT_IN_NAMES.sub(" ", clean(title)).split()).strip("' ") or "Sheet"
        name, number = _shortened(wanted, ""), 1
        while name.casefold() in taken:
            number += 1
            name = _shortened(wanted, f" ({number})")
        taken.add(name.casefold())
        yield name


def _shortened(name: str, ending: str) -> str:
    # Counted in UTF-16 units, as spreadsheets count.
    while len((name + ending).encode("utf-16-le")) > 2 * _MAX_NAME:
        name = name[:-1]
    return name.rstrip("' ") + ending


def footer_text(text: str) -> str:
    """One part of a footer: on one line, short enough, and with no control codes of its own."""
    line = " ".join(clean(text).split())
    if len(line) > _MAX_FOOTER_PART:
        line = line[: _MAX_FOOTER_PART - 1] + "…"
    return line.replace("&", "&&")
