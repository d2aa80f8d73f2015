"""An issued record opened again to be corrected, and a correction dropped that was opened by mistake."""

from django.urls import reverse

from inspections.access import fetch
from inspections.models import Inspection
from inspections.views.form_page import form_page, posted
from reports.forms import CorrectionForm, DropCorrectionForm
from reports.services.correction import drop_correction, revise

WITH_PLACE = ("installation__client__firm", "inspector", "based_on")


def correction(request, pk):
    """Open an issued inspection again, saying what is to be corrected."""
    inspection = _fetch(request, pk)
    form = CorrectionForm(posted(request))
    return _form_page(
        request,
        form,
        lambda: revise(
            inspection=inspection, what_changed=form.cleaned_data["what_changed"], member=request.user
        ),
        inspection,
        said="It is a draft again. The issued record stands until the new revision is issued.",
        heading="Correct an issued record",
        button="Open it again",
        intro=(
            "The record issued stays as it is. The visit becomes a draft; once corrected it is reviewed and "
            "issued again as the next revision, which says what changed."
        ),
    )


def correction_drop(request, pk):
    """Drop a correction that was opened by mistake."""
    inspection = _fetch(request, pk)
    form = DropCorrectionForm(posted(request))
    return _form_page(
        request,
        form,
        lambda: drop_correction(inspection=inspection, why=form.cleaned_data["why"], member=request.user),
        inspection,
        said="The correction is dropped. The issued record stands.",
        heading="Drop the correction",
        button="Drop it",
        intro=(
            "For a correction opened by mistake. The visit is issued again as it was, under no new revision; "
            "that it was open, and why it was dropped, stays in its history."
        ),
    )


def _fetch(request, pk):
    return fetch(request, Inspection.objects.select_related(*WITH_PLACE), pk)


def _form_page(request, form, save, inspection, **context):
    back = reverse("inspection", args=[inspection.pk])
    return form_page(
        request, form, save, done=lambda: back, back=back, undo=False, trail=inspection, **context
    )
