"""What the checks say about a whole inspection, worst first."""

from collections.abc import Iterable
from itertools import groupby

from django.shortcuts import render
from django.views.decorators.http import require_safe

from inspections.access import fetch
from inspections.columns import BY_NAME, RESULTS
from inspections.models import Circuit, Inspection
from inspections.rules import edition as editions
from inspections.rules.finding import Code, Finding, Severity
from inspections.selectors import Located, findings_of, outcome_of

# What is still to be entered of a circuit is said once for all its columns.
OF_SEVERAL_COLUMNS = {
    Code.MISSING_READING: "{} missing",
    Code.MISSING_DETAIL: "{} missing from the circuit details",
    Code.LIM_WITHOUT_LIMITATION: "LIM without a limitation: {}",
    Code.NOT_VERIFIED_UNEXPLAINED: "N/V without a reason: {}",
    Code.DOES_APPLY: "N/A though it applies: {}",
    Code.NOT_A_NUMBER: "a tick where the value belongs: {}",
}
_SERIOUS = (Severity.OUT_OF_LIMIT, Severity.DISAGREES)
_ORDER = {column: place for place, column in enumerate(BY_NAME)}
_HEADINGS = {column.name: column.heading for column in RESULTS}


@require_safe
def findings(request, inspection_pk):
    """The findings of an inspection by severity, each with its working."""
    inspection = fetch(
        request, Inspection.objects.select_related("installation__client", "inspector"), inspection_pk
    )
    observations = list(inspection.observations.all())
    said: list[Located] = []
    unfinished: dict[Circuit, list[Finding]] = {}
    for item in findings_of(inspection):
        if item.circuit and item.finding.severity is Severity.INCOMPLETE:
            unfinished.setdefault(item.circuit, []).append(item.finding)
        else:
            said.append(item)
    explained = _first_of_each_circuit(said, "ir_live_live")
    return render(
        request,
        "inspections/findings.html",
        {
            "inspection": inspection,
            "groups": [
                (severity, [(item, item.made_into(observations), item in explained) for item in found])
                for severity, found in groupby(said, key=lambda item: item.finding.severity)
            ],
            "incomplete": [
                (circuit, still_to_enter(unfinished[circuit]))
                for circuit in sorted(unfinished, key=lambda one: (one.board.sort_key, one.sort_key))
            ],
            "edition": editions.load(inspection.edition),
            "outcome": outcome_of(inspection),
            "unanswered": sum(
                item.finding.severity in _SERIOUS and not item.made_into(observations) for item in said
            ),
            "uncoded": sum(not one.code and not one.put_right_on for one in observations),
        },
    )


def _first_of_each_circuit(located: Iterable[Located], column: str) -> list[Located]:
    """The worst finding of every circuit about one column: beside it the explanation is said, once."""
    first: dict[Circuit, Located] = {}
    for item in located:
        if item.circuit and item.finding.column == column:
            first.setdefault(item.circuit, item)
    return list(first.values())


def still_to_enter(found: Iterable[Finding]) -> list[str]:
    """What a circuit still asks for, in as few words as its columns allow.

    ``r1, rn, RCD button missing`` for three findings that each say so of one column.
    """
    columns: dict[Code, list[str]] = {}
    others = []
    for finding in found:
        if finding.code in OF_SEVERAL_COLUMNS and finding.column:
            columns.setdefault(finding.code, []).append(finding.column)
        else:
            others.append(finding.summary.rstrip("."))
    told = [
        phrase.format(", ".join(_name(column) for column in sorted(columns[code], key=_ORDER.__getitem__)))
        for code, phrase in OF_SEVERAL_COLUMNS.items()
        if code in columns
    ]
    return told + others


def _name(column: str) -> str:
    """The heading of a reading; of a circuit detail, whose headings repeat, what it means."""
    meaning = BY_NAME[column].meaning
    return _HEADINGS.get(column) or meaning[0].lower() + meaning[1:]
