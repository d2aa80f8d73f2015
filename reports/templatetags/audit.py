"""The audit on pages of the record. ``{% needs_you request.user day %}``: what needs this person today."""

from django import template

from reports.audit.today import needs_of

register = template.Library()


@register.inclusion_tag("reports/_needs_you.html")
def needs_you(member, day):
    """What of the firm's record needs a member, with the way to it; nothing where nothing does."""
    return {"needs": needs_of(member, day)}
