"""What a new firm does first, in order, each step with whether it is done."""

from dataclasses import dataclass

from django.urls import reverse

from inspections.models import Board, Firm, Inspection, Installation, Instrument


@dataclass(frozen=True)
class Step:
    """One step. ``page``: the name of the page it is done on; ``address``: of that page, empty while a step
    before it has to be done first. ``is_next``: the first that can be done now and is not."""

    name: str
    meaning: str
    page: str
    address: str
    is_done: bool
    is_next: bool = False


def first_steps(firm: Firm) -> list[Step]:
    """The steps; none once all are done."""
    place = Installation.objects.for_firm(firm).first()
    boards = Board.objects.for_firm(firm)
    has_boards = boards.exists()
    asked = [
        ("Add a client", "who orders the work.", "client_add", firm.clients.exists()),
        ("Add an installation", "its address and its supply.", "installation_add", place is not None),
        ("Add its boards", "each with its circuits, way by way.", "board_add", has_boards),
        (
            "Add an instrument",
            "by kind and serial number, with the day its calibration ends.",
            "instrument_add",
            Instrument.objects.for_firm(firm).exists(),
        ),
        (
            "Begin a visit",
            "then type in the readings of each board, or bring in a spreadsheet of them.",
            "inspection_start",
            Inspection.objects.for_firm(firm).exists(),
        ),
    ]
    if all(is_done for *_, is_done in asked):
        return []
    next_name = next(name for name, *_, is_done in asked if not is_done)
    return [
        Step(name, meaning, page, _address(page, place, has_boards), is_done, name == next_name)
        for name, meaning, page, is_done in asked
    ]


def _address(page, place, has_boards):
    if page not in ("board_add", "inspection_start"):
        return reverse(page)
    if place is None or (page == "inspection_start" and not has_boards):
        return ""
    return reverse(page, args=[place.pk])
