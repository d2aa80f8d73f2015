"""Circuits of a board."""

import re

from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from inspections.access import fetch
from inspections.columns import READINGS
from inspections.forms.circuits import CircuitForm, RetireForm
from inspections.forms.layout import saved
from inspections.max_zs import permitted
from inspections.models import Board, Circuit
from inspections.numbers import whole_number
from inspections.rules.finding import Code
from inspections.selectors import findings_of_circuit
from inspections.services.circuits import retire_circuit
from inspections.services.record import save_record
from inspections.trend_lines import trend_lines
from inspections.views.form_page import form_page, posted
from inspections.views.undo import say_with_undo

WITH_PLACE = "board__installation__client"
KEPT_FOR_THE_NEXT_WAY = (
    "phase", "wiring_type", "reference_method", "live_csa_mm2", "cpc_csa_mm2", "arrangement", "serves",
    "voltage_band", "device_standard", "device_type", "device_rating_a", "breaking_capacity_ka",
    "rcd_standard", "rcd_type", "rcd_residual_ma", "rcd_rating_a",
)  # fmt: skip


def circuit(request, pk):
    row = fetch(request, Circuit.objects.select_related(WITH_PLACE), pk)
    results = list(
        row.results.select_related("inspection__inspector", "inspection__installation").order_by(
            "-inspection__started_on", "-pk"
        )
    )
    latest = results[0].inspection if results else None
    found = findings_of_circuit(latest, row) if latest else []
    zs = permitted(row)
    context = {
        "circuit": row,
        "columns": READINGS,
        "history": [
            (result, [(column, getattr(result, column.name)) for column in READINGS]) for result in results
        ],
        "zs": zs,
        "latest": latest,
        "latest_rows": results[:1],
        "findings": [item for item in found if item.finding.code is not Code.LIMIT_FORECAST],
        "forecasts": [item.finding for item in found if item.finding.code is Code.LIMIT_FORECAST],
        "lines": trend_lines(results, {"zs": zs.worked_out.ohm} if zs.worked_out else {}),
    }
    return render(request, "inspections/circuit.html", context)


def circuit_add(request, pk):
    """``?after=`` names the circuit just saved: the next way begins from its values."""
    board = fetch(request, Board.objects.select_related("installation__client"), pk)
    row = _next_way(board, request.GET.get("after", ""))
    form = CircuitForm(posted(request), instance=row)
    if request.method == "POST" and saved(form, lambda: save_record(row, member=request.user)):
        say_with_undo(request, f"Circuit saved: {row}.", instead=reverse("board", args=[pk]))
        if "next" in request.POST:
            return redirect(f"{request.path}?after={row.pk}")
        return redirect("board", pk)
    context = {
        "form": form,
        "heading": f"Add a circuit to {board.designation}",
        "back": reverse("board", args=[pk]),
        "trail": board,
    }
    return render(request, "inspections/circuit_form.html", context)


def circuit_change(request, pk):
    row = fetch(request, Circuit.objects.select_related(WITH_PLACE), pk)
    return form_page(
        request,
        CircuitForm(posted(request), instance=row),
        lambda: save_record(row, member=request.user),
        done=lambda: reverse("circuit", args=[pk]),
        said=lambda: f"Circuit saved: {row}.",
        heading=f"Change circuit {row}",
        back=reverse("circuit", args=[pk]),
        trail=row,
    )


def circuit_retire(request, pk):
    row = fetch(request, Circuit.objects.select_related(WITH_PLACE), pk)
    form = RetireForm(posted(request), initial={"retired_on": timezone.localdate()})
    return form_page(
        request,
        form,
        lambda: retire_circuit(circuit=row, on=form.cleaned_data["retired_on"], member=request.user),
        done=lambda: reverse("board", args=[row.board_id]),
        said=f"Circuit {row} is retired.",
        heading=f"Retire circuit {row}",
        back=reverse("circuit", args=[pk]),
        trail=row,
        button="Retire the circuit",
        intro="What was recorded of it stays. A circuit with no record yet is removed.",
    )


def _next_way(board, after):
    """A new circuit of ``board``, begun from the one just saved when there is one."""
    last = board.circuits.in_use().order_by("sort_key").last()
    before = board.circuits.filter(pk=whole_number(after)).first()
    kept = {name: getattr(before, name) for name in KEPT_FOR_THE_NEXT_WAY} if before else {}
    return Circuit(board=board, way=_counted_on((before or last).way) if before or last else "1", **kept)


def _counted_on(way):
    """The way after ``way``: 4 after 3, S4 after S3; nothing after a way without a number."""
    match = re.fullmatch(r"(.*?)(\d+)", way)
    return f"{match[1]}{int(match[2]) + 1}" if match else ""
