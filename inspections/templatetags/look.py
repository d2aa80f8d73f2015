"""Small things that templates of all apps need to lay a page out."""

from django import template
from django.urls import NoReverseMatch, reverse
from django.utils.formats import date_format

from inspections.enums import Role
from inspections.forms.help import term_button
from inspections.forms.layout import plain
from inspections.models import Board, Circuit, Client, Inspection, Installation
from inspections.sample import whose
from inspections.terms import all_terms, term_of
from inspections.words import on_one_line

LISTS = {
    "clients": "Clients",
    "installations": "Installations",
    "instruments": "Instruments",
    "members": "Members",
}

register = template.Library()
register.filter("plain", plain)
register.filter("one_line", on_one_line)


@register.filter
def allows(may, name):
    """``{% if may|allows:address %}`` where the address's name is in a variable."""
    return may[name]


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
    """Links from the list down to ``row``: a client, installation, board, circuit or inspection; or to the
    list alone, where ``row`` is its name."""
    return {"steps": _steps(row) if row else []}


def _steps(row):
    if isinstance(row, str):
        return [(reverse(row), LISTS[row])]
    if isinstance(row, Client):
        return [*_steps("clients"), (reverse("client", args=[row.pk]), row.name)]
    if isinstance(row, Installation):
        return [*_steps("installations"), (reverse("installation", args=[row.pk]), row.name)]
    if isinstance(row, Board):
        return [*_steps(row.installation), (reverse("board", args=[row.pk]), row.designation)]
    if isinstance(row, Circuit):
        return [*_steps(row.board), (reverse("circuit", args=[row.pk]), f"Circuit {row.designation}")]
    if isinstance(row, Inspection):
        text = f"Visit of {date_format(row.started_on)}"
        return [*_steps(row.installation), (reverse("inspection", args=[row.pk]), text)]
    raise TypeError(f"There is no trail to a {type(row).__name__}.")


@register.inclusion_tag("_sample_band.html", takes_context=True)
def sample_band(context, member):
    """That this is a sample firm: as whom one acts there, the way back, and the way to throw it away."""
    token, own = context.get("csrf_token"), whose(member).firm
    return {"own": own, "roles": Role.choices, "role": member.role, "csrf_token": token}


@register.simple_tag(takes_context=True)
def term(context, key, text=""):
    """What a term of the trade means, opened from the term itself: ``{% term "zs" %}``."""
    return _opened(context, all_terms()[key], text)


@register.simple_tag(takes_context=True)
def explained_heading(context, column):
    """A column's heading, from which its term is opened where it has one."""
    found = term_of(column.name)
    return _opened(context, found, column.heading) if found else column.heading


def _opened(context, found, text):
    request = context["request"]
    opened = request.__dict__.setdefault("terms_opened", set())
    is_first = found.key not in opened
    opened.add(found.key)
    return term_button(found, text, is_first=is_first)


@register.filter
def term_of_finding(finding):
    """The term that explains the column a finding stands beside, if there is one."""
    return term_of(finding.column)
