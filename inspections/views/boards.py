"""Distribution boards."""

from django.core.exceptions import ValidationError
from django.shortcuts import render
from django.urls import reverse

from inspections.access import fetch
from inspections.enums import InspectionStatus
from inspections.forms.boards import BoardForm, CopyCircuitsForm
from inspections.models import Board, Installation
from inspections.services.circuits import copy_circuits
from inspections.services.record import save_record
from inspections.views.form_page import form_page, posted

WITH_PLACE = ("installation__client", "fed_from")


def board(request, pk):
    row = fetch(request, Board.objects.select_related(*WITH_PLACE), pk)
    context = {
        "board": row,
        "circuits": row.circuits.in_use().order_by("sort_key"),
        "retired": row.circuits.filter(retired_on__isnull=False).order_by("sort_key"),
        "feeds": row.feeds.in_use(),
        "draft": row.installation.inspections.filter(status=InspectionStatus.DRAFT).first(),
        "has_other_boards": row.installation.boards.in_use().exclude(pk=pk).exists(),
    }
    return render(request, "inspections/board.html", context)


def board_add(request, pk):
    installation = fetch(request, Installation.objects.select_related("client"), pk)
    row = Board(installation=installation, phases=installation.phases)
    back = reverse("installation", args=[pk])
    return _form(request, row, f"Add a board at {installation}", back, trail=installation)


def board_change(request, pk):
    row = fetch(request, Board.objects.select_related(*WITH_PLACE), pk)
    return _form(request, row, f"Change {row.designation}", reverse("board", args=[pk]), trail=row)


def _form(request, row, heading, back, trail):
    form = BoardForm(posted(request), instance=row)
    return form_page(
        request,
        form,
        lambda: save_record(row, member=request.user),
        done=lambda: reverse("board", args=[row.pk]),
        said=lambda: f"Board saved: {row}.",
        heading=heading,
        back=back,
        trail=trail,
    )


def board_copy_circuits(request, pk):
    target = fetch(request, Board.objects.select_related(*WITH_PLACE), pk)
    form = CopyCircuitsForm(posted(request), target=target)

    def copy():
        copies = copy_circuits(source=form.cleaned_data["source"], target=target, member=request.user)
        if not copies:
            raise ValidationError({"source": "That board has no circuits to copy."})

    return form_page(
        request,
        form,
        copy,
        done=lambda: reverse("board", args=[pk]),
        said=lambda: f"Circuits of {form.cleaned_data['source']} copied. Change what differs.",
        heading=f"Copy circuits to {target.designation}",
        back=reverse("board", args=[pk]),
        trail=target,
        button="Copy the circuits",
        intro="Every circuit in use comes over with its details, and no readings.",
    )
