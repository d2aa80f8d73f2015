"""Drawings on pages: the same as in the print.

``{% glow_circuit sheet.circuit %}``, ``{% glow_plot sheet.plot %}``,
``{% installation_drawn installation %}``.
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


@register.inclusion_tag("reports/_installation_drawn.html")
def installation_drawn(installation):
    """The supply, boards, circuits and what is across them as SVG, and the same as a list."""
    from reports.drawings.installation import installation as draw
    from reports.drawings.svg import to_svg
    from reports.installation_drawn import as_it_stands

    drawn = as_it_stands(installation)
    return {"drawn": drawn, "svg": to_svg(draw(drawn), drawn.in_words) if drawn.boards else ""}
