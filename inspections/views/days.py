"""How a day with the program goes, for whoever wants to be shown."""

from django.http import Http404
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inspections.days import all_days


@require_safe
def days(request):
    return render(request, "inspections/days.html", {"days": all_days()})


@require_safe
def day(request, who):
    if who not in all_days():
        raise Http404
    return render(request, "inspections/day.html", {"day": all_days()[who], "days": all_days(), "who": who})
