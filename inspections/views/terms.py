"""The trade's terms on one page."""

from django.shortcuts import render
from django.views.decorators.http import require_safe

from inspections.terms import all_terms


@require_safe
def terms(request):
    """Every term with what it means and where it is dealt with."""
    return render(request, "inspections/terms.html", {"terms": all_terms().values()})
