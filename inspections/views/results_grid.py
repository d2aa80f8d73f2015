"""The results grid: all readings of one board, editable at once."""

from itertools import pairwise

from django.core.exceptions import PermissionDenied
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from inspections.access import fetch
from inspections.columns import RESULTS
from inspections.grid import rows_for, typed_rows
from inspections.models import Board, Inspection
from inspections.offline import kept_on_device
from inspections.selectors import board_record
from inspections.services.results import InspectionClosed, record_results
from inspections.views.undo import say_with_undo

TYPED_BY_ANOTHER = (
    "Nothing was saved: these readings were typed under another sign-in. Sign in as whoever typed them, go "
    "back to the grid, and save again."
)


@require_http_methods(["GET", "POST"])
@kept_on_device
def results_grid(request, inspection_pk, board_pk):
    """Show one board's results; save the rows posted. Asked for ``rows`` alone, answer with those rows."""
    inspections = Inspection.objects.select_related("installation").prefetch_related("instruments")
    inspection = fetch(request, inspections, inspection_pk)
    board = fetch(request, Board.objects.filter(installation=inspection.installation_id), board_pk)
    outcomes, closed = {}, ""
    if request.method == "POST":
        if request.POST.get("typed_by", str(request.user.pk)) != str(request.user.pk):
            raise PermissionDenied(TYPED_BY_ANOTHER)
        try:
            saved = record_results(inspection=inspection, rows=typed_rows(request.POST), member=request.user)
            outcomes = {outcome.result.circuit_id: outcome for outcome in saved}
        except InspectionClosed as error:
            closed = str(error)
    rows_only = request.headers.get("X-Fragment") == "rows"
    if request.method == "POST" and not rows_only and not closed and not _attention(outcomes):
        say_with_undo(request, _saved_words(outcomes))
        return redirect(request.path)
    record = board_record(inspection, board, only=outcomes if rows_only else None)
    context = {
        "inspection": inspection,
        "board": board,
        "rows": rows_for(record, outcomes),
        "closed": closed,
    }
    if rows_only:
        status = 409 if closed else 200
        return render(request, "inspections/results_grid_rows.html", context, status=status)
    boards = list(inspection.installation.boards.in_use())
    context |= {
        "boards": boards,
        "next_board": _after(board, boards),
        "columns": RESULTS,
        "groups": _groups(RESULTS),
    }
    return render(request, "inspections/results_grid.html", context)


def _after(board, boards):
    """The board that follows ``board``, if one does. One out of use stands among none."""
    return dict(pairwise(boards)).get(board)


def _attention(outcomes):
    return [outcome for outcome in outcomes.values() if outcome.needs_attention]


def _saved_words(outcomes):
    count = sum(outcome.saved for outcome in outcomes.values())
    return f"{count} row{'' if count == 1 else 's'} saved." if count else "Nothing had changed."


def _groups(columns):
    """Runs of columns under one group heading: (heading, number of columns)."""
    groups = []
    for column in columns:
        if groups and groups[-1][0] == column.group:
            groups[-1][1] += 1
        else:
            groups.append([column.group, 1])
    return groups
