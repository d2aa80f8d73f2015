"""Fetching a row and deciding whether this person may see it, in one call.

Every object view begins with ``fetch``; no view trusts a number in an address by itself.
"""

from functools import wraps
from typing import TypeVar

from django.db.models import Model, QuerySet
from django.shortcuts import get_object_or_404, render

from inspections.models import Member

Row = TypeVar("Row", bound=Model)


def fetch(rows: QuerySet[Row], member: Member, pk: int) -> Row:
    """The row ``pk`` of the member's own firm. Raises Http404 when there is none, or it is another firm's."""
    return get_object_or_404(rows.for_firm(member.firm), pk=pk)


def firm_required(view):
    """Whoever runs the service belongs to no firm: show them the way to the admin instead of the page."""

    @wraps(view)
    def wrapped(request, *args, **kwargs):
        if request.user.firm_id is None:
            return render(request, "inspections/no_firm.html", status=403)
        return view(request, *args, **kwargs)

    return wrapped
