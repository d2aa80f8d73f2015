"""Rows as text that both databases give and take: the text form of PostgreSQL's own COPY, one row a line.

PostgreSQL writes and reads it by itself. For SQLite it is done here, column by column as they are declared.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime, time
from typing import Any

NULL = r"\N"
_ESCAPED = str.maketrans({"\\": r"\\", "\n": r"\n", "\r": r"\r", "\t": r"\t"})
_MEANT = {"n": "\n", "r": "\r", "t": "\t", "b": "\b", "f": "\f", "v": "\v"}
_ESCAPE = re.compile(r"\\(.)")

_TO_TEXT: dict[type, Callable[[Any], str]] = {
    type(None): lambda _: NULL,
    str: lambda value: value.translate(_ESCAPED),
    bool: lambda value: "t" if value else "f",
    int: str,
    float: repr,
    bytes: lambda value: rf"\\x{value.hex()}",
    date: str,
    time: str,
    datetime: lambda value: f"{value}+00",
}


def line(row: Sequence[Any]) -> str:
    """A row as Django has SQLite give it, as a line."""
    return "\t".join([_TO_TEXT[type(value)](value) for value in row]) + "\n"


def _moment(text: str) -> str:
    return str(datetime.fromisoformat(text).replace(tzinfo=None))


# Only what SQLite does not make of the text by the declared type alone.
_FROM_TEXT: dict[str, Callable[[str], Any]] = {
    "bool": lambda text: text == "t",
    "datetime": _moment,
    "BLOB": lambda text: bytes.fromhex(text.removeprefix("\\x")),
}


def values(lines: Iterable[str], declared: Sequence[str]) -> Iterator[list[Any]]:
    """The rows of ``lines`` as SQLite keeps them, in columns ``declared`` so."""
    made = [_FROM_TEXT.get(one) for one in declared]
    for text in lines:
        cells = text.removesuffix("\n").split("\t")
        yield [_value(cell, make) for cell, make in zip(cells, made, strict=True)]


def _value(cell: str, make: Callable[[str], Any] | None) -> Any:
    if cell == NULL:
        return None
    if "\\" in cell:
        cell = _ESCAPE.sub(lambda found: _MEANT.get(found[1], found[1]), cell)
    return make(cell) if make else cell
