"""Rows of the audit: what falls due, at a place and among the firm's instruments."""

from collections.abc import Iterator
from datetime import date

from inspections.models import Board, Firm, Instrument
from remedies.enums import PRESENT
from remedies.models import ParallelLoad
from reports.audit.batch import Place
from reports.audit.tables import Due, DueAudit


def due_rows(place: Place) -> Iterator[DueAudit]:
    """The next inspection, labels, and observations that are open."""
    due = place.installation.next_due_on
    if due:
        yield _row(place, Due.INSPECTION, due, "The whole installation", place.installation.pk)
    for board in place.boards:
        what, on = _label_due(place, board)
        if on:
            yield _row(place, what, on, f"{board}", board.pk)
    for what, seen_on, text, pk in place.batch.open_codes[place.installation.pk]:
        yield _row(place, what, seen_on, text, pk)


def instrument_rows(firm: Firm) -> Iterator[DueAudit]:
    """The calibration of each instrument in use that names a day."""
    for instrument in Instrument.objects.filter(
        firm=firm, retired_on__isnull=True, calibrated_until__isnull=False
    ):
        yield DueAudit(
            firm=firm,
            place="",
            what=Due.CALIBRATION,
            on=instrument.calibrated_until,
            subject=f"{instrument} {instrument.group}".strip(),
            target=instrument.pk,
        )


def _label_due(place: Place, board: Board) -> tuple[Due, date | None]:
    """What the label of a board waits for, and since or until when; no day where nothing is due."""
    status = place.batch.statuses[board.pk]
    if status.waiting and not status.waiting_is_out_of_date:
        return Due.LABEL_WAITS, status.waiting.printed_at.date()
    if not status.is_out_of_date:
        is_to_be_checked = status.stuck and status.has_loads
        return Due.LABEL_CHECK, place.installation.next_due_on if is_to_be_checked else None
    loads = _loads_at(place, board)
    if status.stuck:
        return Due.LABEL_OLD, max((load.state_since for load in loads), default=None)
    present = (load.since for load in loads if load.state in PRESENT)
    return Due.LABEL_MISSING, min(present, default=None)


def _loads_at(place: Place, board: Board) -> list[ParallelLoad]:
    return [load for loads in place.loads.values() for load in loads if load.circuit.board_id == board.pk]


def _row(place: Place, what: Due, on: date, subject: str, target: int) -> DueAudit:
    return DueAudit(
        **place.of_firm,
        place=place.name,
        what=what,
        on=on,
        subject=" ".join(subject.split())[:200],
        target=target,
    )
