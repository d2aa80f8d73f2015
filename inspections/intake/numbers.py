"""The figure a number cell shows, recovered from the number it holds and its number format."""

import re
from decimal import Decimal

_LITERAL = re.compile(r'"([^"]*)"|\\(.)')
_CONDITION = re.compile(r"\[[<>=][^\]]*\]")
_PADDING = re.compile(r"\[[^\]]*\]|_.|\*.")
_SPREADSHEET_DIGITS = 15  # a spreadsheet holds a number to 15 figures; what is beyond is binary residue
_INSTRUMENT_DIGITS = 12


def shown(value: int | float, number_format: str) -> tuple[str, str | None]:
    """The figure as text, and a note when the cell shows something else than it holds.

    Zeros that the format adds are kept, since they carry the resolution. A figure that the format only hides
    is kept in full.

    >>> shown(0.5, "0.00"), shown(0.31, "General"), shown(32, "General")
    (('0.50', None), ('0.31', None), ('32', None))
    """
    held = Decimal(value) if isinstance(value, int) else Decimal(f"{value:.{_SPREADSHEET_DIGITS}g}")
    if not held.is_finite():
        return str(value), None
    places = -int(held.normalize().as_tuple().exponent)
    relation, wanted = _read_format(number_format)
    text = f"{held:.{max(places, wanted or 0, 0)}f}"
    note = None
    if wanted is not None and places > wanted:
        displayed = f"{held:.{wanted}f}"
        if len(text) > _INSTRUMENT_DIGITS:
            text, note = displayed, f"The cell holds {text} and shows {displayed}; the value shown is used."
        else:
            note = f"The cell shows {displayed} and holds {text}; the value held is used."
    elif _CONDITION.search(number_format):
        note = f"The cell may show something else by its number format; the number in it is {text}."
    return relation + text, note


def _read_format(number_format: str) -> tuple[str, int | None]:
    """The > or < the format prints before the number, and its decimal places; None where it names none."""
    section = _section(number_format)
    literals = "".join(first or second for first, second in _LITERAL.findall(section)).strip()
    relation = literals[0] if literals[:1] in ("<", ">") and literals else ""
    digits = _PADDING.sub("", _LITERAL.sub("", section))
    if not re.search(r"[0#?]", digits) or re.search(r"[eE%/]", digits):
        return relation, None
    return relation, len(re.findall(r"[0?]", digits.partition(".")[2]))


def _section(number_format: str) -> str:
    """The part of a number format for positive numbers."""
    quoted = False
    for position, sign in enumerate(number_format):
        if sign == '"':
            quoted = not quoted
        elif sign == ";" and not quoted:
            return number_format[:position]
    return number_format
