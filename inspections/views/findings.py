"""What the checks say about a whole inspection, worst first."""

from itertools import groupby

from django.shortcuts import render
from django.views.decorators.http import require_safe

from inspections.access import fetch, firm_required
from inspections.models import Inspection
from inspections.rules.finding import Severity
from inspections.selectors import findings_of, outcome_of


@require_safe
@firm_required
def findings(request, inspection_pk):
    """The findings of an inspection by severity, each with its working."""
    inspection = fetch(
        Inspection.objects.select_related("installation__client", "inspector"), request.user, inspection_pk
    )
    located = findings_of(inspection)
    return render(
        request,
        "inspections/findings.html",
        {
            "inspection": inspection,
            "groups": [
                (Severity(severity), list(found))
                for severity, found in groupby(located, key=lambda item: item.finding.severity)
            ],
            "count": len(located),
            "outcome": outcome_of(inspection),
        },
    )
