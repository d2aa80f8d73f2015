"""A live-live reading explained, with whatever more is known of it."""

from urllib.parse import urlencode

from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inspections.access import fetch, firm_of
from inspections.enums import TESTS_INSULATION
from inspections.models import Circuit, Instrument
from remedies import bridge
from remedies.explained import explain_reading, in_circuit_at
from remedies.forms.explained import AlsoKnownForm
from remedies.models import ParallelLoad
from remedies.physics.explanation import Verdict

VOLTAGES = (250, 500, 1000)
WITH_PLACE = "board__installation__client__firm"


@require_safe
def reading_explained(request, pk):
    """A reading beside what its loads should give at each test voltage, and what it could mean.
    ``?inspection=`` names the visit, else the last one that measured; the rest is what was also seen."""
    circuit = fetch(request, Circuit.objects.select_related(WITH_PLACE), pk)
    measured = _measured(circuit)
    result = _of_visit(measured, request.GET.get("inspection"))
    form = _form(request, result)
    known = form.known()
    loads = _in_circuit(circuit, result)
    explained = explain_reading(result, loads, known) if result else None
    context = {
        "circuit": circuit,
        "measured": measured,
        "result": result,
        "form": form,
        "loads": loads,
        "out": ParallelLoad.objects.current()
        .filter(circuit=circuit)
        .exclude(pk__in=[row.pk for row in loads]),
        "expected": [
            (bridge.expected_reading_for(loads, volts, known.tester), _shown(volts, result, known))
            for volts in VOLTAGES
        ],
        "reading": explained,
        "candidates": _candidates(circuit, explained) if explained else [],
        "is_lower": explained is not None and explained.explanation.verdict is Verdict.LOWER,
    }
    return render(request, "remedies/reading_explained.html", context)


def _measured(circuit):
    """Results of the circuit with a live-live value, the last visit first."""
    results = circuit.results.select_related("circuit__board", "inspection__installation")
    ordered = results.order_by("-inspection__started_on", "-inspection_id")
    return [result for result in ordered if result.ir_live_live.is_measured]


def _of_visit(measured, visit):
    """The result of the visit asked for, or the latest where none was."""
    if not visit:
        return measured[0] if measured else None
    return next((result for result in measured if str(result.inspection_id) == visit), None)


def _in_circuit(circuit, result):
    if result is None:
        return list(ParallelLoad.objects.present().filter(circuit=circuit).order_by("pk"))
    return in_circuit_at(result.inspection, [circuit]).get(circuit.pk, [])


def _form(request, result):
    testers = Instrument.objects.for_firm(firm_of(request)).filter(measures__in=TESTS_INSULATION)
    return AlsoKnownForm(
        request.GET if "settling" in request.GET else None,
        initial={"tester": bridge.insulation_tester_of(result.inspection) if result else None},
        testers=testers,
        first_v=_volts(result) if result else None,
    )


def _volts(result):
    return result.ir_voltage_v or bridge.DEFAULT_TEST_V


def _shown(volts, result, known):
    """What the tester showed at a voltage, where it was read there."""
    if result and volts == _volts(result):
        return result.ir_live_live
    return known.second[0] if known.second and known.second[1] == volts else ""


def _candidates(circuit, explained):
    """What could make up the difference, each with the address that enters it as suspected."""
    result = explained.result
    reason = f"Live-live {result.ir_live_live} MΩ at {_volts(result)} V is not explained by the register"
    told = []
    for candidate in explained.explanation.candidates:
        if candidate.kind is None:
            told.append((candidate.text, ""))
            continue
        filled = {
            "inspection": result.inspection_id,
            "known": "suspected",
            "kind": bridge.load_kind(candidate.kind),
            "count": candidate.count,
            "reason": reason,
        }
        told.append((candidate.text, f"{reverse('load_add', args=[circuit.pk])}?{urlencode(filled)}"))
    return told
