"""What is printed to be taken to a board: its label, and the before-you-test sheet."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from inspections.access import fetch
from inspections.models import Board
from inspections.numbers import whole_number
from remedies.before_test import before_test
from remedies.labels import words_to_print

WITH_PLACE = "installation__client__firm"


@require_safe
def board_label_pdf(request, pk, stock):
    """The label of a board on one stock. ``?skip=`` is how many places of its sheet are already used."""
    from reports.labels.draw import Label, LabelError, draw_labels  # reportlab stays out of start-up
    from reports.labels.sheets import STOCKS

    board = fetch(request, Board.objects.select_related(WITH_PLACE), pk)
    if stock not in STOCKS:
        raise Http404
    words = words_to_print(board, timezone.localdate())
    notice = board.installation.client.firm.notice
    try:
        content = draw_labels(
            [Label((*filter(None, [notice]), *words.title), words.lines, words.date)],
            STOCKS[stock],
            skip=whole_number(request.GET.get("skip", "")) or 0,
        )
    except LabelError as error:
        messages.error(request, str(error))
        return redirect("board_label", pk)
    return _pdf(content, board, f"label-{stock}", "attachment")


@require_safe
def before_you_test_pdf(request, pk):
    """The before-you-test sheet of a board, to print."""
    from reports.pdf.before_test import before_test_pdf  # reportlab stays out of start-up

    board = fetch(request, Board.objects.select_related(WITH_PLACE), pk)
    firm = board.installation.client.firm
    sheet = before_test(board, on=timezone.localdate())
    content = before_test_pdf(sheet, firm=firm.name, notice=firm.notice)
    return _pdf(content, board, "before-you-test", "inline")


def _pdf(content, board, kind, disposition):
    """A PDF that the browser shows (inline) or takes while its page stays (attachment), under a name that
    says what it is."""
    name = f"{slugify(f'{board.installation} {board.designation}')}-{kind}.pdf"
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'{disposition}; filename="{name}"'
    return response
