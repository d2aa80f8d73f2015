"""Text on its way out: what a cell prints, and text freed of what no file may hold."""

import re
import unicodedata
from datetime import date
from decimal import Decimal

from inspections.rules.readings import Reading
from reports.sheets.sheet import NOT_ENTERED, Cell, SheetError

_LINE_ENDS = re.compile(r"\r\n?|[\v\f\x1c-\x1e\x85\u2028\u2029]")


def clean(text: str) -> str:
    """The text without control characters, lone surrogates and non-characters; a tab becomes a space and
    every kind of line end a line feed. What a reader can see is kept as it is.

    >>> clean("Hall" + chr(7) + chr(9) + "lights" + chr(13) + chr(10) + "and stairs")
    'Hall lights\\nand stairs'
    """
    if text.isascii() and text.isprintable():
        return text
    text = _LINE_ENDS.sub("\n", text).replace("\t", " ")
    return "".join(character for character in text if character == "\n" or _may_stand(character))


def _may_stand(character: str) -> bool:
    return unicodedata.category(character) not in ("Cc", "Cs") and ord(character) & 0xFFFE != 0xFFFE


def cell_text(cell: Cell) -> str:
    """What the cell says on paper; ``NOT_ENTERED`` for one not entered yet. A number keeps its trailing
    zeros, and a day is in words.

    >>> cell_text(Decimal("2.50")), cell_text(Reading.parse(">200")), cell_text(date(2026, 11, 3))
    ('2.50', '>200', '3 Nov 2026')
    """
    if isinstance(cell, date):
        return f"{cell:%-d %b %Y}"
    return cell if isinstance(cell, str) else entered_text(cell) or NOT_ENTERED


def entered_text(cell: Cell) -> str:
    """What was entered, as it was written and as a machine reads it; empty for a cell not entered yet."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, Reading):
        return cell.text
    if isinstance(cell, Decimal) and not cell.is_finite():
        raise SheetError(f"{cell} is not a number that can stand in a schedule.")
    return f"{cell:f}" if isinstance(cell, Decimal) else str(cell)
