"""Visits: begin one, see how far it is, change its facts."""

from django.contrib import messages
from django.db.models import Q
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from inspections.access import fetch, firm_of
from inspections.enums import Code, StandingAnswer
from inspections.forms.inspections import BoardResultForm, InspectionForm, StartForm
from inspections.models import Board, BoardResult, Inspection, Installation
from inspections.progress import Progress, progress_by_board, total, visual_progress
from inspections.rules import edition
from inspections.rules import finding as findings
from inspections.selectors import findings_of_visit, outcome_of
from inspections.services.record import save_record
from inspections.services.still_open import require_open
from inspections.services.visits import start_inspection
from inspections.views.form_page import form_page, posted

WITH_PLACE = ("installation__client", "inspector")
URGENCY = ("", Code.C1, Code.C2, Code.FI, Code.C3)  # one without a code still waits for the inspector
OF_INSTRUMENTS = (findings.Code.OUT_OF_CALIBRATION, findings.Code.CALIBRATION_UNKNOWN)
DOWNLOADS = (
    ("schedules", "Both schedules"),
    ("circuit-details", "Circuit details"),
    ("test-results", "Test results"),
    ("load-register", "Load register"),
)


def fetch_open(request, pk):
    """The inspection, and where to turn instead when its record may no longer change."""
    row = fetch(request, Inspection.objects.select_related(*WITH_PLACE), pk)
    if row.is_open or request.method == "POST":  # what was typed is kept: the service refuses it on the form
        return row, None
    messages.warning(
        request, f"This visit is {row.get_status_display().lower()}: its record no longer changes."
    )
    return row, redirect("inspection", pk)


def inspection(request, pk):
    rows = Inspection.objects.select_related(*WITH_PLACE, "based_on").prefetch_related("instruments")
    row = fetch(request, rows, pk)
    progress = progress_by_board([row])[pk]
    limitations = list(row.limitations.prefetch_related("boards", "circuits__board"))
    found = findings_of_visit(row)
    boards, visual = _boards(row, progress), visual_progress(row)
    context = {
        "inspection": row,
        "edition": edition.load(row.edition),
        "progress": total(progress),
        "visual": visual,
        "next_step": _next_step(row, boards, visual),
        "outcome": outcome_of(row),
        "boards": boards,
        "to_answer": [one for one in limitations if one.standing_answer == StandingAnswer.PENDING],
        "limitations": [one for one in limitations if one.standing_answer != StandingAnswer.PENDING],
        "observations": sorted(
            row.observations.select_related("board", "circuit__board"),
            key=lambda one: URGENCY.index(one.code),
        ),
        "instruments": row.instruments.all(),
        "of_instruments": [one for one in found if one.code in OF_INSTRUMENTS],
        "of_supply": [one for one in found if one.code not in OF_INSTRUMENTS],
        "downloads": DOWNLOADS,
    }
    return render(request, "inspections/inspection.html", context)


def _boards(inspection, progress):
    """Boards in use, or measured at this visit, each with its progress and what was measured there."""
    measured = {result.board_id: result for result in inspection.board_results.all()}
    boards = inspection.installation.boards.filter(Q(retired_on__isnull=True) | Q(pk__in=measured))
    return [(board, progress.get(board.pk, Progress()), measured.get(board.pk)) for board in boards]


def _next_step(inspection, boards, visual):
    """What is still to be entered, in the order of the sheets; nothing once the report can be thought of."""
    for board, progress, _ in boards:
        if not progress.is_complete:
            address = reverse("results_grid", args=[inspection.pk, board.pk])
            return {"address": address, "words": f"Enter readings: {board.designation}"}
    if not visual.is_complete:
        return {"address": reverse("visual_items", args=[inspection.pk]), "words": "Answer the visual items"}
    return None


def inspection_start(request, pk):
    installation = fetch(request, Installation.objects.select_related("client"), pk)
    initial = {"started_on": timezone.localdate(), "inspector": request.user}
    form = StartForm(posted(request), initial=initial, firm=firm_of(request))
    begun = []

    def start():
        begun.append(start_inspection(installation=installation, member=request.user, **form.cleaned_data))

    return form_page(
        request,
        form,
        start,
        done=lambda: reverse("inspection", args=[begun[0].pk]),
        said=lambda: f"Visit begun: {begun[0]}.",
        heading=f"Begin a visit at {installation}",
        back=reverse("installation", args=[pk]),
        trail=installation,
        button="Begin the visit",
        intro=(
            "Extent, instruments and standing limitations come over from the last visit. Readings do not."
        ),
    )


def inspection_change(request, pk):
    row, instead = fetch_open(request, pk)
    if instead:
        return instead
    form = InspectionForm(posted(request), instance=row, firm=firm_of(request))

    def save():
        require_open(row)
        save_record(row, member=request.user)
        row.instruments.set(form.cleaned_data["instruments"])

    return form_page(
        request,
        form,
        save,
        done=lambda: reverse("inspection", args=[pk]),
        said=lambda: f"Visit saved: {row}.",
        heading="Change the visit",
        back=reverse("inspection", args=[pk]),
        trail=row,
    )


def board_result(request, inspection_pk, board_pk):
    """What was measured at one board: the supply as it arrives there."""
    row, instead = fetch_open(request, inspection_pk)
    if instead:
        return instead
    board = fetch(request, Board.objects.filter(installation=row.installation_id), board_pk)
    result = BoardResult.objects.filter(inspection=row, board=board).first()
    result = result or BoardResult(inspection=row, board=board)

    def save():
        require_open(row)
        save_record(result, member=request.user)

    return form_page(
        request,
        BoardResultForm(posted(request), instance=result),
        save,
        done=lambda: reverse("inspection", args=[inspection_pk]),
        said=f"What was measured at {board.designation} is saved.",
        heading=f"Measured at {board.designation}",
        back=reverse("inspection", args=[inspection_pk]),
        trail=row,
    )
