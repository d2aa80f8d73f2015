"""A value of the worksheet in words, with its range and its unit."""

from collections.abc import Callable
from dataclasses import dataclass

from remedies.physics.quantity import Span, engineering, significant, span_text


@dataclass(frozen=True)
class Value:
    """A label, a value in words, and the range it may lie in."""

    label: str
    value: str
    span: str = ""


def in_volts(volts: float) -> str:
    return f"{significant(volts)} V"


def in_farads(farads: float) -> str:
    return engineering(farads, "F")


def value_of(label: str, span: Span, write: Callable[[float], str]) -> Value:
    return Value(label, write(span.typical), "" if span.low == span.high else span_text(span, write))
