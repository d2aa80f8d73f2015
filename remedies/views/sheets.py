"""What is taken to the board: the before-you-test sheet and the label."""

from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.access import fetch
from inspections.models import Board
from inspections.offline import kept_on_device
from inspections.views.undo import say_with_undo
from remedies import labels
from remedies.before_test import before_test
from remedies.forms.labels import PrintLabelForm

WITH_PLACE = "installation__client__firm"
NEXT_PLACE = "label_next_place"  # in the session: the stock used last, and the first free place of its sheet


@kept_on_device
def before_you_test(request, pk):
    """What to know before testing a board, on one page."""
    board = fetch(request, Board.objects.select_related(WITH_PLACE), pk)
    context = {"board": board, "sheet": before_test(board, on=timezone.localdate())}
    return render(request, "remedies/before_you_test.html", context)


def board_label(request, pk):
    """What the label of a board says, whether it is up to date, and where to print it. ``?stock=`` and
    ``?skip=`` are the stock it is to be printed on: its file is then sent by itself."""
    board = fetch(request, Board.objects.select_related(WITH_PLACE), pk)
    chosen = request.GET if "stock" in request.GET else None
    form = PrintLabelForm(chosen, initial=request.session.get(NEXT_PLACE))
    status = labels.label_status(board)
    file = _file_of(board, form, status)
    context = {
        "board": board,
        "status": status,
        "words": labels.words_to_print(board, timezone.localdate()),
        "earlier": board.load_labels.select_related("printed_by", "stuck_by"),
        "form": form,
        "file": file,
    }
    response = render(request, "remedies/board_label.html", context)
    if file:
        response["Refresh"] = f"0; url={file}"
    return response


def _file_of(board, form, status):
    """The address of the label that waits to be stuck, on the stock chosen; empty until there is one."""
    if not (form.is_bound and form.is_valid() and status.waiting) or status.waiting_is_out_of_date:
        return ""
    address = reverse("board_label_pdf", args=[board.pk, form.cleaned_data["stock"]])
    return f"{address}?skip={form.cleaned_data['skip']}"


@require_POST
def board_label_print(request, pk):
    """Record that the label is printed, with the text it carries, and go on to its file."""
    board = fetch(request, Board.objects.select_related(WITH_PLACE), pk)
    form = PrintLabelForm(request.POST)
    chosen = urlencode({name: request.POST[name] for name in form.fields if name in request.POST})
    if form.is_valid():
        status = labels.label_status(board)
        if status.waiting is None or status.waiting_is_out_of_date:
            labels.print_label(board=board, at=timezone.now(), on=timezone.localdate(), member=request.user)
        request.session[NEXT_PLACE] = form.next_place()
        say_with_undo(request, "The label is recorded. Print its file, stick it, and confirm that here.")
    return redirect(f"{reverse('board_label', args=[pk])}?{chosen}")


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
        say_with_undo(request, "Stuck at the board: the label is up to date.")
    return redirect("board_label", pk)
