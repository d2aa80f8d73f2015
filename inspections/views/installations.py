"""Installations: the places."""

from django.db.models import Count, Q
from django.shortcuts import render
from django.urls import reverse

from inspections.access import fetch, firm_of, own
from inspections.forms.installations import InstallationForm
from inspections.models import Installation, Observation
from inspections.numbers import whole_number
from inspections.rules import edition
from inspections.services.record import save_record
from inspections.views.form_page import form_page, posted
from inspections.views.lists import matching, page_of

IN_USE = Q(circuits__retired_on__isnull=True)


def installations(request):
    words = request.GET.get("q", "")
    fields = ("name", "address", "postcode", "client__name")
    rows = matching(own(request, Installation.objects), words, *fields).select_related("client")
    context = {
        "page": page_of(request, rows),
        "words": words,
        "has_clients": firm_of(request).clients.exists(),
    }
    return render(request, "inspections/installations.html", context)


def installation(request, pk):
    row = fetch(request, Installation.objects.select_related("client__firm"), pk)
    inspections = list(row.inspections.select_related("inspector"))
    context = {
        "installation": row,
        "edition": edition.load(row.rule_set),
        "boards": row.boards.in_use()
        .select_related("fed_from")
        .annotate(circuit_count=Count("circuits", filter=IN_USE))
        .order_by("sort_key"),
        "retired_boards": row.boards.filter(retired_on__isnull=False),
        "inspections": inspections,
        "open_visit": next((one for one in inspections if one.is_open), None),
        "observations": Observation.objects.open()
        .filter(inspection__installation=row)
        .select_related("inspection", "board", "circuit__board")
        .order_by("code", "pk"),
    }
    return render(request, "inspections/installation.html", context)


def installation_add(request):
    firm = firm_of(request)
    chosen = firm.clients.filter(pk=whole_number(request.GET.get("client", ""))).first()
    back = reverse("client", args=[chosen.pk]) if chosen else reverse("installations")
    row, trail = Installation(client=chosen), chosen or "installations"
    return _form(request, row, "Add an installation", back, trail)


def installation_change(request, pk):
    row = fetch(request, Installation.objects.select_related("client__firm"), pk)
    back = reverse("installation", args=[pk])
    return _form(request, row, f"Change {row.name}", back, trail=row)


def _form(request, row, heading, back, trail):
    form = InstallationForm(posted(request), instance=row, firm=firm_of(request))
    return form_page(
        request,
        form,
        lambda: save_record(row, member=request.user),
        done=lambda: reverse("installation", args=[row.pk]),
        said=lambda: f"Installation saved: {row}.",
        heading=heading,
        back=back,
        trail=trail,
    )
