"""The visual inspection of a visit, area by area."""

from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from inspections.access import fetch
from inspections.forms.visual import CHOICES, area_rows, typed_answers
from inspections.models import Inspection
from inspections.progress import visual_progress
from inspections.services.visual import Recorded, record_visual_outcomes
from inspections.views.undo import say_with_undo


@require_http_methods(["GET", "POST"])
def visual_items(request, pk):
    """Show every item with its outcome; save the page posted. ``all_satisfactory`` names an area to fill."""
    inspection = fetch(request, Inspection.objects.select_related("installation__client"), pk)
    typed, recorded, closed = [], None, ""
    if request.method == "POST":
        typed, area = typed_answers(request.POST), request.POST.get("all_satisfactory", "")
        try:
            recorded = record_visual_outcomes(
                inspection=inspection, typed=typed, member=request.user, satisfactory_area=area
            )
        except ValidationError as error:
            closed = " ".join(error.messages)
    if recorded and not recorded.refused:
        say_with_undo(request, _saved_words(recorded))
        return redirect(f"{request.path}#{area}" if area else request.path)
    areas = area_rows(inspection, typed, recorded)
    rows = [row for area in areas for row in area.rows]
    context = {
        "inspection": inspection,
        "areas": areas,
        "choices": CHOICES,
        "progress": visual_progress(inspection),
        "uncovered": [row for row in rows if row.asks_for_observation],
        "from_memory": any(row.item.source.from_memory for row in rows),
        "refused": [row for row in rows if row.problem],
        "recorded": recorded,
        "closed": closed,
    }
    return render(request, "inspections/visual.html", context)


def _saved_words(recorded: Recorded) -> str:
    count = recorded.saved
    return f"{count} item{'' if count == 1 else 's'} saved." if count else "Nothing had changed."
