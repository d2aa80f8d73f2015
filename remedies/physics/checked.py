"""Numbers a person typed, held to what can be, with a message that says what to type instead."""

import math

from remedies.physics.quantity import engineering

_WITH_MULTIPLES = ("V", "A", "Ω", "F", "W")


class InputError(ValueError):
    """A value that cannot be. ``subject`` says which and ``problem`` why; ``instead`` what to give a function
    of this package instead, for which a form has its own words."""

    def __init__(self, subject: str, problem: str, instead: str = "") -> None:
        super().__init__(f"{subject}: {problem} {instead}".rstrip())
        self.subject, self.problem, self.instead = subject, problem, instead


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
    remedies.physics.checked.InputError: supply voltage: 10 kV is outside 20 V to 1 kV. Give 230 for a \
public supply.
    """
    if value is None:
        raise InputError(subject, "nothing was given.", instead)
    if isinstance(value, bool) or not isinstance(value, int | float) or math.isnan(value):
        raise InputError(subject, f"“{value}” is not a number.", instead)
    if allow_infinite and value == math.inf:
        return value
    if not low <= value <= high:
        given, least, most = (_written(each, unit) for each in (value, low, high))
        raise InputError(subject, f"{given} is outside {least} to {most}.", instead)
    return float(value)


def _written(value: float, unit: str) -> str:
    if unit in _WITH_MULTIPLES:
        return engineering(value, unit)
    return f"{value:g} {unit}".rstrip()
