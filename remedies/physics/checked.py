"""Numbers a person typed, held to what can be, with a message that says what to type instead."""

import math


class InputError(ValueError):
    """A value that cannot be. ``subject`` says which; the message says why and what to give instead."""

    def __init__(self, subject: str, message: str) -> None:
        super().__init__(f"{subject}: {message}")
        self.subject = subject


def number(
    subject: str,
    value: float | None,
    unit: str,
    *,
    low: float,
    high: float,
    instead: str,
    allow_infinite: bool = False,
) -> float:
    """``value`` when it lies from ``low`` to ``high``, both included. Raises InputError otherwise.

    >>> number("supply voltage", 230, "V", low=20, high=1000, instead="Give 230 for a public supply.")
    230.0
    >>> number("supply voltage", 10e3, "V", low=20, high=1000, instead="Give 230 for a public supply.")
    Traceback (most recent call last):
    remedies.physics.checked.InputError: supply voltage: 10000 V is outside 20 V to 1000 V. Give 230 for a \
public supply.
    """
    if value is None:
        raise InputError(subject, f"nothing was given. {instead}")
    if isinstance(value, bool) or not isinstance(value, int | float) or math.isnan(value):
        raise InputError(subject, f"“{value}” is not a number. {instead}")
    if allow_infinite and value == math.inf:
        return value
    if not low <= value <= high:
        raise InputError(subject, f"{value:g} {unit} is outside {low:g} {unit} to {high:g} {unit}. {instead}")
    return float(value)
