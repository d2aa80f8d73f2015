"""The first page: what is open, what falls due, or what to do first."""

from datetime import timedelta

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.access import firm_of, own
from inspections.enums import InspectionStatus
from inspections.first_steps import first_steps
from inspections.models import Inspection, Installation
from inspections.progress import progress_by_board, total
from inspections.views.on_device import keep_on_device

DUE_WITHIN_DAYS = 60
MOST_DUE = 20  # named on the page; it leads to the whole list
AWAY = "first_steps_away"  # a cookie: whoever knows the program keeps the steps away on this device


def today(request):
    firm = firm_of(request)
    day = timezone.localdate()
    unfinished = own(request, Inspection.objects).exclude(status=InspectionStatus.ISSUED)
    unfinished = list(unfinished.select_related("installation__client", "inspector"))
    progress = progress_by_board(unfinished)
    visits = [(visit, total(progress[visit.pk])) for visit in unfinished]
    due = own(request, Installation.objects).filter(next_due_on__lte=day + timedelta(days=DUE_WITHIN_DAYS))
    due = list(due.select_related("client").order_by("next_due_on", "name")[: MOST_DUE + 1])
    steps, are_away = first_steps(firm), bool(request.COOKIES.get(AWAY))
    context = {
        "day": day,
        "mine": [one for one in visits if one[0].inspector_id == request.user.pk and one[0].is_open],
        "others": [one for one in visits if one[0].inspector_id != request.user.pk and one[0].is_open],
        "in_review": [one for one in visits if not one[0].is_open],
        "due": due[:MOST_DUE],
        "more_due": len(due) > MOST_DUE,
        "due_within_days": DUE_WITHIN_DAYS,
        "first_steps": [] if are_away else steps,
        "steps_away": bool(steps) and are_away,
    }
    return render(request, "inspections/today.html", context)


@require_POST
def first_steps_away(request):
    """Put the first steps away on this device, or show them ``again``."""
    response = redirect("today")
    if "again" in request.POST:
        response.delete_cookie(AWAY, samesite="Lax")
        return response
    messages.success(request, "Hidden on this device. The foot of this page shows the first steps again.")
    keep_on_device(request, response, AWAY, "yes")
    return response
