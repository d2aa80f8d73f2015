"""Where to look for a load that nobody registered, step by step. What was entered stays with the person's
session, and steps are forgotten only when they are taken back or begun anew."""

from dataclasses import asdict, dataclass, replace
from urllib.parse import urlencode

from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inspections.access import fetch
from inspections.models import Circuit
from remedies.forms.where_to_look import PointsForm
from remedies.physics.locate import Outcome
from remedies.where_to_look import Done, read_points, search, usual_points

KEPT = "where_to_look"
WITH_PLACE = "board__installation__client__firm"
OUTCOMES = (
    (Outcome.HERE, "It is here"),
    (Outcome.TOWARDS_BOARD, "Low towards the board"),
    (Outcome.BEYOND, "Low beyond it"),
    (Outcome.BOTH_SIDES, "Low both ways"),
)


@dataclass(frozen=True)
class Kept:
    """What a person entered for one circuit: its points as typed, and the steps done."""

    points: str = ""
    done: tuple[Done, ...] = ()


@require_http_methods(["GET", "POST"])
def where_to_look(request, pk):
    """Show the plan; when posted, take the points, a step done, or a step taken back."""
    circuit = fetch(request, Circuit.objects.select_related(WITH_PLACE), pk)
    kept = _kept(request, pk)
    typed = request.POST.get("points", kept.points or usual_points(circuit))
    form = PointsForm(initial={"points": typed})
    if request.method == "POST":
        try:
            after = _after(kept, request.POST)
            search(read_points(after.points), after.done)
        except ValidationError as refused:
            form = PointsForm({"points": typed})
            form.add_error("points", refused)
        else:
            _keep(request, pk, after)
            return redirect("where_to_look", pk)
    looking = search(read_points(kept.points), kept.done) if kept.points else None
    context = {
        "circuit": circuit,
        "form": form,
        "search": looking,
        "found": list(_found(circuit, looking)) if looking else [],
        "outcomes": OUTCOMES,
    }
    return render(request, "remedies/where_to_look.html", context)


def _after(kept, posted):
    """What stands after what was pressed. Raises ValidationError when it cannot be told."""
    if "anew" in posted:
        return replace(kept, done=())
    if "back" in posted:
        return replace(kept, done=kept.done[:-1])
    if "outcome" not in posted:
        return replace(kept, points=posted.get("points", ""))
    if posted["outcome"] not in list(Outcome):
        raise ValidationError("Say what was found there.")
    return replace(kept, done=(*kept.done, (posted.get("point", ""), Outcome(posted["outcome"]))))


def _kept(request, pk):
    stored = request.session.get(KEPT, {}).get(str(pk), {})
    done = tuple((name, Outcome(found)) for name, found in stored.get("done", ()))
    return Kept(stored.get("points", ""), done)


def _keep(request, pk, kept):
    request.session[KEPT] = {**request.session.get(KEPT, {}), str(pk): asdict(kept)}


def _found(circuit, looking):
    """Each place found: its name, the address that records a load there, whether it is between points."""
    points = {point.name for point in looking.points}
    for place in looking.plan.found:
        filled = urlencode({"known": "found", "place": place})
        yield place, f"{reverse('load_add', args=[circuit.pk])}?{filled}", place not in points
