"""Small things that templates of all apps need to lay a page out."""

from django import template
from django.urls import NoReverseMatch, reverse

from inspections.forms.layout import plain
from inspections.models import Board, Circuit, Client, Inspection, Installation

register = template.Library()
register.filter("plain", plain)


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


@register.inclusion_tag("_trail.html")
def trail(row=None):
    """Links from the list down to ``row``: a client, installation, board, circuit or inspection."""
    return {"steps": _steps(row) if row else []}


def _steps(row):
    if isinstance(row, Client):
        return [(reverse("clients"), "Clients"), (reverse("client", args=[row.pk]), row.name)]
    if isinstance(row, Installation):
        return [
            (reverse("installations"), "Installations"),
            (reverse("installation", args=[row.pk]), row.name),
        ]
    if isinstance(row, Board):
        return [*_steps(row.installation), (reverse("board", args=[row.pk]), row.designation)]
    if isinstance(row, Circuit):
        return [*_steps(row.board), (reverse("circuit", args=[row.pk]), f"Circuit {row.designation}")]
    if isinstance(row, Inspection):
        return [*_steps(row.installation), (reverse("inspection", args=[row.pk]), str(row))]
    raise TypeError(f"There is no trail to a {type(row).__name__}.")
