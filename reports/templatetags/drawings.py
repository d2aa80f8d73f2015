"""Drawings on pages: the same as in the print.

``{% glow_circuit sheet.circuit %}``, ``{% glow_plot sheet.plot %}``.
"""

from django import template

register = template.Library()


@register.simple_tag
def glow_circuit(case):
    """The circuit of a glow case as SVG."""
    from reports.drawings.glow_circuit import glow_circuit as draw  # reportlab stays out of start-up
    from reports.drawings.svg import to_svg

    return to_svg(draw(case), case.in_words)


@register.simple_tag
def glow_plot(plot):
    """Lamp voltage against the value of the remedy as SVG."""
    from reports.drawings.glow_plot import glow_plot as draw
    from reports.drawings.svg import to_svg

    return to_svg(draw(plot), plot.in_words)
