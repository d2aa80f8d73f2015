"""What the load register says of the readings, for pages of the record.

``{% explanations inspection as explained %}``: by circuit id. ``{{ explained|of_circuit:circuit.pk }}``: one.
"""

from django import template

from remedies.explained import explanations_of

register = template.Library()


@register.simple_tag
def explanations(inspection, rows=None):
    """Readings that are not plainly sound, or stand on circuits with loads, explained; by circuit id. Of the
    circuits of ``rows`` alone when given."""
    circuits = None if rows is None else [row.circuit for row in rows]
    return {one.circuit.pk: one for one in explanations_of(inspection, circuits)}


@register.filter
def of_circuit(explained, circuit_id):
    return explained.get(circuit_id)
