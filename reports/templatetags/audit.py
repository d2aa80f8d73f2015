"""The audit on pages.

``{% needs_you request.user day %}``: what needs this person today. ``{% figure shown %}``: a figure
as a drawing.
"""

from django import template

from reports.audit.reminders import reminder_of
from reports.audit.tables import Due
from reports.audit.today import needs_of

register = template.Library()


@register.inclusion_tag("reports/_needs_you.html", takes_context=True)
def needs_you(context, member, day):
    """What of the firm's record needs a member, with the way to it; nothing where nothing does."""
    return {
        "needs": needs_of(member, day),
        "wanted": reminder_of(member).is_wanted,
        "may": context.get("may"),
        "csrf_token": context.get("csrf_token"),
    }


@register.inclusion_tag("reports/_all_due.html")
def all_inspections_due():
    """The way to every inspection that is due, however many."""
    return {"what": Due.INSPECTION.value}


@register.simple_tag
def figure(shown):
    """A figure as SVG, with the same in words."""
    from reports.drawings.figure import draw  # reportlab stays out of start-up
    from reports.drawings.svg import to_svg

    return to_svg(draw(shown), shown.in_words)
