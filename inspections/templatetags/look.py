"""Small things that templates of all apps need to lay a page out."""

from django import template
from django.urls import NoReverseMatch, reverse

register = template.Library()


@register.inclusion_tag("_nav_link.html", takes_context=True)
def nav_link(context, name, text, prefixes=""):
    """A link of the main navigation, marked as current on its own page and below ``prefixes``."""
    try:
        address = reverse(name)
    except NoReverseMatch:
        return {}
    path = context["request"].path if "request" in context else ""
    below = tuple(prefixes.split()) or (address,)
    return {"address": address, "text": text, "current": path == address or path.startswith(below)}
