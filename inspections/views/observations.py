"""Observations of a visit, and what became of them."""

from django.http import FileResponse, Http404, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from inspections import origins
from inspections.access import fetch, own
from inspections.forms.observations import ObservationForm, PutRightForm, from_visual_item
from inspections.models import Observation
from inspections.numbers import whole_number
from inspections.services.record import save_record
from inspections.services.still_open import require_open
from inspections.views.form_page import form_page, posted
from inspections.views.inspections import fetch_open
from inspections.views.lists import matching

EARLIER_SHOWN = 8
FROM_A_FINDING = ("text", "board", "circuit", "regulation")
WITH_PLACE = "inspection__installation__client__firm"


def observation_add(request, pk):
    """``?made_from=`` a finding or a visual item fills the form in, and leads back there once it is saved.
    Of a finding, ``text``, ``board``, ``circuit`` and ``regulation`` say what with."""
    inspection, instead = fetch_open(request, pk)
    if instead:
        return instead
    row, origin = Observation(inspection=inspection), request.GET.get("made_from", "")
    back, filled_in = reverse("inspection", args=[pk]), {}
    if origins.is_finding(origin):
        row.made_from, back = origin, reverse("findings", args=[pk])
        filled_in = {name: request.GET.get(name, "") for name in FROM_A_FINDING}
    elif item := origins.item_of(origin):
        row.made_from, back = origin, reverse("visual_items", args=[pk])
        filled_in = from_visual_item(item, inspection.visual_outcomes.filter(item=item.key).first())
    return _form_page(request, row, "Record an observation", back, filled_in)


def observation_change(request, pk):
    row = fetch(request, Observation.objects.select_related(WITH_PLACE), pk)
    _, instead = fetch_open(request, row.inspection_id)
    if instead:
        return instead
    back = reverse("inspection", args=[row.inspection_id])
    return _form_page(request, row, "Change the observation", back)


def observation_texts(request):
    """Earlier texts of the firm that match what is typed; a fragment."""
    context = {"earlier": _earlier(request, request.GET.get("look_for", ""))}
    return render(request, "inspections/_earlier_texts.html", context)


def observation_photo(request, pk):
    row = fetch(request, Observation.objects, pk)
    if not row.photo:
        raise Http404("This observation has no photograph.")
    return FileResponse(row.photo.open(), content_type="image/jpeg")


def observation_put_right(request, pk):
    """Open at any time: things are put right after the report is issued."""
    row = fetch(request, Observation.objects.select_related(WITH_PLACE), pk)
    back = reverse("inspection", args=[row.inspection_id])
    return form_page(
        request,
        PutRightForm(posted(request), instance=row, initial={"put_right_on": timezone.localdate()}),
        lambda: save_record(row, member=request.user, reason="Put right"),
        done=lambda: back,
        said=f"Noted as put right: {row}.",
        heading="Put right",
        back=back,
        trail=row.inspection,
        intro=row.text,
    )


def _form_page(request, row, heading, back, filled_in=None):
    context = {"heading": heading, "back": back, "trail": row.inspection, "observation": row}
    template = "inspections/observation_form.html"
    if "look_up" in request.POST or "use" in request.POST:
        # Searching without scripts sends the whole form; what was typed comes back, nothing is judged yet.
        typed = _with_earlier_text(request)
        form = ObservationForm(initial=typed.dict(), instance=row)
        context["earlier"] = _earlier(request, typed.get("look_for", ""))
        context["look_for"] = typed.get("look_for", "")
        return render(request, template, {"form": form, **context})
    form = ObservationForm(posted(request), request.FILES or None, instance=row, initial=filled_in)

    def save():
        require_open(row.inspection)
        save_record(row, member=request.user)

    return form_page(
        request,
        form,
        save,
        done=lambda: request.path if "another" in request.POST else back,
        said=lambda: f"Observation saved: {row}.",
        template=template,
        **context,
    )


def _with_earlier_text(request) -> QueryDict:
    typed = request.POST.copy()
    chosen = whole_number(typed.get("use", ""))
    if earlier := own(request, Observation.objects).filter(pk=chosen).first():
        typed["text"], typed["regulation"] = earlier.text, earlier.regulation
    return typed


def _earlier(request, words):
    """Earlier observations that hold every word, latest first, each text once."""
    if len(words.strip()) < 2:
        return []
    found = matching(own(request, Observation.objects), words, "text", "regulation").order_by("-pk")
    by_text = {}
    for row in found.only("text", "regulation")[:100]:
        by_text.setdefault((row.text, row.regulation), row)
    return list(by_text.values())[:EARLIER_SHOWN]
