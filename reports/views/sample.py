"""A sample firm of one's own: in, about in it as each role, back, and away with it."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from inspections.enums import Role
from inspections.models import Firm
from inspections.sample import act_as, go_back, whose
from reports.services.sample import sample_of, throw_away


@require_POST
def sample_enter(request):
    """Into one's sample, which is made where there is none, as the role that is asked for, or one's own."""
    member = whose(request.user)
    asked = request.POST.get("role")
    act_as(request, sample_of(member), asked if asked in Role.values else member.role)
    return redirect("today")


@require_POST
def sample_leave(request):
    """Back to one's own firm."""
    if request.user.is_in_sample:
        go_back(request)
    return redirect("today")


@require_http_methods(["GET", "POST"])
def sample_throw_away(request):
    sample = Firm.objects.filter(sample_of=whose(request.user)).first()
    if sample is None:
        return redirect("today")
    if request.method == "GET":
        return render(request, "reports/sample_throw_away.html", {"sample": sample})
    if request.user.is_in_sample:
        go_back(request)
    throw_away(sample=sample)
    messages.success(request, "The sample firm is thrown away.")
    return redirect("today")
