"""What is across the circuits, for pages of the record.

``{% loads_of circuit %}``: the loads of a circuit, with links. ``{% loads_by_circuit board as loads %}``:
lists by circuit id, in one query; ``{{ loads|for_circuit:circuit.pk }}`` takes one out. ``{% not_put_back
installation %}``: a banner while anything disconnected for a test has not been put back. ``{% label_state
board %}``: whether the label at a board is up to date; ``{{ labels|of_board:board.pk }}``: one of many.
``{% full_test_under limitation %}``: how long a standing limitation has kept circuits from a full test.
``{% at_board board %}``: what whoever stands at a board reaches for, under the thumb on a phone.
"""

from django import template
from django.urls import reverse
from django.utils import timezone

from remedies import cautions as texts
from remedies import full_test, labels, selectors
from remedies.models import ParallelLoad

register = template.Library()


@register.inclusion_tag("remedies/_loads_of_circuit.html", takes_context=True)
def loads_of(context, circuit, inspection=None):
    """The loads of a circuit that have not been taken out, a link to record another, and for how long the
    circuit has gone without a full line-neutral test."""
    counts = full_test.counts_of([circuit], circuit.board.installation, timezone.localdate())
    return {
        "circuit": circuit,
        "inspection": inspection,
        "loads": ParallelLoad.objects.current().filter(circuit=circuit).order_by("pk"),
        "count": counts[circuit.pk],
        "may": context["may"],
    }


@register.simple_tag
def loads_by_circuit(board):
    """Loads of a board that have not been taken out, by circuit id. One query."""
    return selectors.loads_by_circuit(board)


@register.filter
def for_circuit(loads, circuit_id):
    """The loads of one circuit, from what ``loads_by_circuit`` gave."""
    return loads.get(circuit_id, [])


@register.inclusion_tag("remedies/_not_put_back.html", takes_context=True)
def not_put_back(context, installation):
    """Shout about what was disconnected for a test and not put back; nothing when all is back."""
    return {"loads": list(selectors.not_put_back(installation)), "may": context["may"]}


@register.inclusion_tag("remedies/_label_state.html")
def label_state(board):
    """Whether the label at a board tells the truth, with the way to its page."""
    return {"board": board, "status": labels.label_status(board)}


@register.inclusion_tag("remedies/_at_board.html", takes_context=True)
def at_board(context, board):
    """The pages of a board that are wanted in front of it."""
    places = [
        (reverse("board", args=[board.pk]), board.designation),
        (reverse("before_you_test", args=[board.pk]), "Before you test"),
        (reverse("loads", args=[board.installation_id]), "Loads here"),
        (reverse("board_label", args=[board.pk]), "Label"),
    ]
    return {"board": board, "places": places, "here": context["request"].path}


@register.filter
def of_board(statuses, board_id):
    """How one board stands with its label, of those given by board id."""
    return statuses[board_id]


@register.inclusion_tag("remedies/_full_test_under.html")
def full_test_under(limitation):
    """For how long the circuits under a standing limitation have gone without a full line-neutral test, and
    what in the register would lift that; nothing for any other limitation."""
    return {"counts": full_test.counts_under(limitation, timezone.localdate())}


@register.simple_tag
def cautions():
    """The usual cautions of a page that leads to work on conductors."""
    return texts.GENERAL
