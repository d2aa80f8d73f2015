"""What the checks say about a whole inspection, worst first."""

from itertools import groupby

from django.shortcuts import render
from django.views.decorators.http import require_safe

from inspections.access import fetch
from inspections.models import Circuit, Inspection
from inspections.rules import edition as editions
from inspections.rules.finding import Severity
from inspections.selectors import Located, findings_of, outcome_of


@require_safe
def findings(request, inspection_pk):
    """The findings of an inspection by severity, each with its working."""
    inspection = fetch(
        request, Inspection.objects.select_related("installation__client", "inspector"), inspection_pk
    )
    located = findings_of(inspection)
    said: list[Located] = []
    unfinished: dict[Circuit, list[Located]] = {}
    for item in located:
        if item.circuit and item.finding.severity is Severity.INCOMPLETE:
            unfinished.setdefault(item.circuit, []).append(item)
        else:
            said.append(item)
    return render(
        request,
        "inspections/findings.html",
        {
            "inspection": inspection,
            "groups": [
                (severity, list(found))
                for severity, found in groupby(said, key=lambda item: item.finding.severity)
            ],
            "incomplete": list(unfinished.items()),
            "edition": editions.load(inspection.edition),
            "outcome": outcome_of(inspection),
        },
    )
