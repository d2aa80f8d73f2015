"""The living page of all parts of the look: each is drawn by the very template that the pages use."""

from django import forms
from django.contrib import messages
from django.contrib.messages.storage.base import Message
from django.core.paginator import Paginator
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inspections.enums import Role
from inspections.forms.layout import LaidOut
from inspections.rules.finding import Code, Finding, Severity

COLOURS = ("paper", "sheet", "wash", "ink", "quiet", "rule", "edge", "accent", "on-accent", "attention")
SIZES = ("page", "part", "lead", "field", "body", "note", "small")
FINDING = Finding(
    Code.ZS_OVER_LIMIT,
    "zs",
    Severity.OUT_OF_LIMIT,
    "Zs 1.52 Ω is above 1.37 Ω.",
    (("limit", "1.37 Ω"), ("measured", "1.52 Ω")),
    "230 V × 0.95 / (5 × 32 A) = 1.366 Ω",
    "411.4.4",
    "BS 7671:2018+A2:2022",
)
MESSAGES = (
    Message(messages.SUCCESS, "3 rows saved."),
    Message(messages.WARNING, "One row is not saved yet: see beside it."),
)


class Example(LaidOut, forms.Form):
    """One field of each kind; as it is posted below, two of them are refused."""

    parts = (("Where", ("place*", "kind")), ("Measured", ("length_m", "on", "zs")), ("", ("hidden", "known")))

    place = forms.CharField(label="Where exactly", help_text="So that a stranger finds it")
    kind = forms.ChoiceField(label="What it is", choices=[("", "Choose what it is"), ("neon", "Neon")])
    length_m = forms.DecimalField(label="Length (m)")
    on = forms.DateField(label="On")
    zs = forms.CharField(label="Zs (Ω)", required=False)
    hidden = forms.BooleanField(label="It is hidden from view", required=False)
    known = forms.ChoiceField(
        label="It was",
        widget=forms.RadioSelect,
        choices=[("found", "Found there"), ("fitted", "Fitted by us")],
    )


TYPED = {"kind": "neon", "length_m": "4,5", "on": "2026-11-25", "hidden": "on", "known": "found"}


@require_safe
def parts(request):
    """All parts on one page."""
    context = {
        "colours": COLOURS,
        "sizes": SIZES,
        "said": MESSAGES,
        "form": Example(TYPED),
        "finding": FINDING,
        "roles": Role.choices,
        "page_of_a_list": Paginator(range(60), 20).page(2),
    }
    return render(request, "parts.html", context)
