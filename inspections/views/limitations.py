"""Limitations of a visit, and those that stand from the last one."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from inspections.access import fetch
from inspections.enums import LimitationScope, StandingAnswer
from inspections.forms.limitations import LimitationForm
from inspections.models import Limitation
from inspections.services.still_open import require_open
from inspections.services.visits import answer_standing_limitation, record_limitation
from inspections.views.back import back_to
from inspections.views.form_page import form_page, posted
from inspections.views.inspections import fetch_open
from inspections.views.undo import say_with_undo


def limitation_add(request, pk):
    """``?tests=``, ``?boards=`` and ``?circuits=`` choose beforehand what a reading marked LIM asks for, and
    ``?back=`` says where that reading stands."""
    inspection, instead = fetch_open(request, pk)
    if instead:
        return instead
    row = Limitation(inspection=inspection)
    chosen = {name: request.GET.getlist(name) for name in ("tests", "boards", "circuits")}
    if chosen["boards"] and not chosen["circuits"]:
        chosen["scope"] = LimitationScope.BOARDS
    form = LimitationForm(posted(request), instance=row, initial=chosen)
    back = back_to(request, request.GET.get("back", ""), reverse("inspection", args=[pk]))
    return _form_page(request, form, "Record a limitation", back)


def limitation_change(request, pk):
    row = _fetch(request, pk)
    _, instead = fetch_open(request, row.inspection_id)
    if instead:
        return instead
    form = LimitationForm(posted(request), instance=row)
    return _form_page(request, form, "Change the limitation", reverse("inspection", args=[row.inspection_id]))


@require_POST
def limitation_answer(request, pk):
    """Keep or lift a limitation carried over from the last visit."""
    row = _fetch(request, pk)
    answer = request.POST.get("answer")
    if answer not in (StandingAnswer.KEPT, StandingAnswer.LIFTED):
        messages.error(request, "Answer whether the limitation is kept or lifted.")
        return redirect("inspection", row.inspection_id)
    try:
        with transaction.atomic():
            require_open(row.inspection)
            answer_standing_limitation(limitation=row, answer=answer, member=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        say_with_undo(request, f"{StandingAnswer(answer).label}: {row}.")
    return redirect("inspection", row.inspection_id)


def _fetch(request, pk):
    return fetch(request, Limitation.objects.select_related("inspection__installation__client__firm"), pk)


def _form_page(request, form, heading, back):
    row = form.instance

    def save():
        require_open(row.inspection)
        chosen = {name: form.cleaned_data[name] for name in ("boards", "circuits")}
        record_limitation(limitation=row, member=request.user, **chosen)

    return form_page(
        request,
        form,
        save,
        done=lambda: back,
        said=lambda: f"Limitation saved: {row}.",
        heading=heading,
        back=back,
        trail=row.inspection,
        template="inspections/limitation_form.html",
    )
