"""What is across the circuits, for pages of the record.

``{% loads_of circuit %}``: the loads of a circuit, with links. ``{% loads_by_circuit board as loads %}``:
lists by circuit id, in one query; ``{{ loads|for_circuit:circuit.pk }}`` takes one out. ``{% not_put_back
installation %}``: a banner while anything disconnected for a test has not been put back.
"""

from django import template

from remedies import cautions as texts
from remedies import selectors
from remedies.models import ParallelLoad

register = template.Library()


@register.inclusion_tag("remedies/_loads_of_circuit.html")
def loads_of(circuit, inspection=None):
    """The loads of a circuit that have not been taken out, and a link to record another."""
    return {
        "circuit": circuit,
        "inspection": inspection,
        "loads": ParallelLoad.objects.current().filter(circuit=circuit).order_by("pk"),
    }


@register.simple_tag
def loads_by_circuit(board):
    """Loads of a board that have not been taken out, by circuit id. One query."""
    return selectors.loads_by_circuit(board)


@register.filter
def for_circuit(loads, circuit_id):
    """The loads of one circuit, from what ``loads_by_circuit`` gave."""
    return loads.get(circuit_id, [])


@register.inclusion_tag("remedies/_not_put_back.html")
def not_put_back(installation):
    """Shout about what was disconnected for a test and not put back; nothing when all is back."""
    return {"loads": list(selectors.not_put_back(installation)), "installation": installation}


@register.simple_tag
def cautions():
    """The usual cautions of a page that leads to work on conductors."""
    return texts.GENERAL
