"""A file of limits or tables, read part by part: each value with its source, each error with its place."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from inspections.rules.finding import Source


class EditionError(ValueError):
    """An edition, or another file of the rules, is not there or lacks a value. The message says which and
    where."""


@dataclass(frozen=True, slots=True)
class Value:
    """One limit with its source. Its unit is in the name of the field that holds it."""

    number: Decimal
    source: Source


class Part:
    """One table of a file, which knows where it stands so that an error can say so.

    Raises EditionError for what is missing or of the wrong kind. A flag not set is False, a list not there is
    empty, and so is a table of numbers.
    """

    def __init__(self, content: Mapping[str, Any], where: str, title: str) -> None:
        self.content, self.where, self.title = content, where, title

    def _missing(self, name: str) -> EditionError:
        return EditionError(f"{self.where}: {name} is missing or of the wrong kind.")

    def part_or_none(self, name: str) -> "Part | None":
        """The table of that name; None where there is none."""
        content = self.content.get(name)
        return Part(content, f"{self.where}, {name}", self.title) if isinstance(content, dict) else None

    def part(self, name: str) -> "Part":
        """The table of that name."""
        if (part := self.part_or_none(name)) is None:
            raise self._missing(name)
        return part

    def parts(self, name: str) -> "list[Part]":
        """The tables that stand under one name, in order."""
        rows = self.content.get(name, [])
        if not isinstance(rows, list):
            raise self._missing(name)
        return [Part(row, f"{self.where}, {name} {n}", self.title) for n, row in enumerate(rows, start=1)]

    def number_or_none(self, name: str) -> Decimal | None:
        """A number, exactly as written; None where there is none."""
        return self.number(name) if name in self.content else None

    def number(self, name: str) -> Decimal:
        """A number, exactly as written."""
        return self._decimal(self.content.get(name), name)

    def _decimal(self, number: object, name: str) -> Decimal:
        if isinstance(number, bool) or not isinstance(number, int | Decimal):
            raise self._missing(name)
        return Decimal(number)

    def flag(self, name: str) -> bool:
        """Whether something holds."""
        flag = self.content.get(name, False)
        if not isinstance(flag, bool):
            raise self._missing(name)
        return flag

    def text(self, name: str, otherwise: str | None = None) -> str:
        """A text; ``otherwise`` where there is none."""
        text = self.content.get(name, otherwise)
        if not isinstance(text, str):
            raise self._missing(name)
        return text

    def texts(self, name: str) -> tuple[str, ...]:
        """A list of texts."""
        texts = self.content.get(name, [])
        if not isinstance(texts, list) or not all(isinstance(text, str) for text in texts):
            raise self._missing(name)
        return tuple(texts)

    def by_type(self, name: str) -> Mapping[str, Decimal]:
        """Numbers by a word, such as the type of a device."""
        rows = self.content.get(name, {})
        return MappingProxyType({key: self._decimal(number, f"{name} {key}") for key, number in rows.items()})

    def by_rating(self, name: str) -> Mapping[Decimal, Decimal]:
        """Numbers by a number, such as a rating in A."""
        rows = self.by_type(name)
        if bad := [key for key in rows if not re.fullmatch(r"\d+(\.\d+)?", key)]:
            raise EditionError(f"{self.where}: {name} has the rating “{bad[0]}”, which is not a number.")
        return MappingProxyType({Decimal(key): number for key, number in rows.items()})

    def source(self) -> Source:
        """Where the values of this table come from."""
        return Source(self.text("publication", self.title), self.text("clause", ""), self.flag("from_memory"))

    def value_or_none(self, name: str) -> Value | None:
        """A number with its source; None where there is none."""
        return self.value(name) if name in self.content else None

    def value(self, name: str) -> Value:
        """A number with its source, which are a table of their own."""
        part = self.part(name)
        return Value(part.number("value"), part.source())
