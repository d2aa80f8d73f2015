"""What is taken to the board: the before-you-test sheet and the label."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.access import fetch
from inspections.models import Board
from remedies import labels
from remedies.before_test import before_test

WITH_PLACE = "installation__client__firm"


def before_you_test(request, pk):
    """What to know before testing a board, on one page."""
    board = fetch(request, Board.objects.select_related(WITH_PLACE), pk)
    context = {"board": board, "sheet": before_test(board, on=timezone.localdate())}
    return render(request, "remedies/before_you_test.html", context)


def board_label(request, pk):
    """What the label of a board says, whether it is up to date, and where to print it."""
    board = fetch(request, Board.objects.select_related(WITH_PLACE), pk)
    context = {
        "board": board,
        "status": labels.label_status(board),
        "words": labels.label_words(board, timezone.localdate()),
        "earlier": board.load_labels.select_related("printed_by", "stuck_by"),
        "stocks": labels.STOCKS,
    }
    return render(request, "remedies/board_label.html", context)


@require_POST
def board_label_print(request, pk):
    """Record that the label is printed, with the text it carries."""
    board = fetch(request, Board.objects.select_related(WITH_PLACE), pk)
    labels.print_label(board=board, at=timezone.now(), on=timezone.localdate(), member=request.user)
    messages.success(request, "Printed and recorded. Confirm here once it is stuck at the board.")
    return redirect("board_label", pk)


@require_POST
def board_label_stuck(request, pk):
    """Record that the printed label is at the board."""
    board = fetch(request, Board.objects.select_related(WITH_PLACE), pk)
    waiting = labels.label_status(board).waiting
    try:
        if waiting is None:
            raise ValidationError("No printed label waits to be stuck. Print one first.")
        labels.confirm_stuck(label=waiting, on=timezone.localdate(), member=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, "Stuck at the board: the label is up to date.")
    return redirect("board_label", pk)
