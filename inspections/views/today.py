"""The first page: what is open, what falls due, or what to do first."""

from datetime import timedelta

from django.shortcuts import render
from django.utils import timezone

from inspections.access import firm_of, own
from inspections.enums import InspectionStatus
from inspections.models import Inspection, Installation, Instrument
from inspections.progress import progress_by_board, total

DUE_WITHIN_DAYS = 60
MOST_DUE = 20  # named on the page; it leads to the whole list


def today(request):
    firm = firm_of(request)
    day = timezone.localdate()
    unfinished = own(request, Inspection.objects).exclude(status=InspectionStatus.ISSUED)
    unfinished = list(unfinished.select_related("installation__client", "inspector"))
    progress = progress_by_board(unfinished)
    visits = [(visit, total(progress[visit.pk])) for visit in unfinished]
    due = own(request, Installation.objects).filter(next_due_on__lte=day + timedelta(days=DUE_WITHIN_DAYS))
    due = list(due.select_related("client").order_by("next_due_on", "name")[: MOST_DUE + 1])
    context = {
        "day": day,
        "mine": [one for one in visits if one[0].inspector_id == request.user.pk and one[0].is_open],
        "others": [one for one in visits if one[0].inspector_id != request.user.pk and one[0].is_open],
        "in_review": [one for one in visits if not one[0].is_open],
        "due": due[:MOST_DUE],
        "more_due": len(due) > MOST_DUE,
        "due_within_days": DUE_WITHIN_DAYS,
        "first_steps": _first_steps(firm),
    }
    return render(request, "inspections/today.html", context)


def _first_steps(firm):
    """What a new firm does first, in order, each with whether it is done; empty once all are."""
    steps = [
        ("Add a client", "client_add", "who orders the work.", firm.clients.exists()),
        (
            "Add an installation",
            "installation_add",
            "the place: its supply, its boards and their circuits.",
            Installation.objects.for_firm(firm).exists(),
        ),
        (
            "Add an instrument",
            "instrument_add",
            "by kind and serial number, with the day its calibration ends.",
            Instrument.objects.for_firm(firm).exists(),
        ),
        (
            "Begin a visit",
            "installations",
            "from the installation’s page, then enter the readings of each board.",
            Inspection.objects.for_firm(firm).exists(),
        ),
    ]
    return [] if all(done for *_, done in steps) else steps
