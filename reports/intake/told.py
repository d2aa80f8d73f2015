"""Values of a record as they enter the rows of this one. What does not fit raises RecordIntakeError."""

from datetime import date
from decimal import Decimal
from typing import NoReturn

from inspections.models import Board
from reports.intake.read import RecordIntakeError


def refuse(where: str, said: str) -> NoReturn:
    raise RecordIntakeError(
        f"The record does not hold together at {where}: {said} Nothing came in."
    ) from None


def day(iso: str | None) -> date | None:
    try:
        return date.fromisoformat(iso) if iso else None
    except ValueError:
        raise RecordIntakeError(f"“{iso}” in the record is not a date. Nothing came in.") from None


def whole(text: str) -> int | None:
    return int(Decimal(text)) if text else None


def decimal(text: str) -> Decimal | None:
    return Decimal(text) if text else None


def way(fed_from_words: str, feeder: Board | None) -> str:
    """The way that feeds a board, out of ``DB1 way 3``."""
    return fed_from_words.removeprefix(f"{feeder.designation}").removeprefix(" way ") if feeder else ""


def place_alone(where: str, designation: str) -> str:
    """The place without the board or circuit that stands before it."""
    return where.removeprefix(designation).removeprefix(", ") if designation else where
