"""The audit on pages.

``{% needs_you request.user day %}``: what needs this person today. ``{% figure shown %}``: a figure
as a drawing.
"""

from django import template

from reports.audit.today import needs_of

register = template.Library()


@register.inclusion_tag("reports/_needs_you.html")
def needs_you(member, day):
    """What of the firm's record needs a member, with the way to it; nothing where nothing does."""
    return {"needs": needs_of(member, day)}


@register.simple_tag
def figure(shown):
    """A figure as SVG, with the same in words."""
    from reports.drawings.figure import draw  # reportlab stays out of start-up
    from reports.drawings.svg import to_svg

    return to_svg(draw(shown), shown.in_words)
