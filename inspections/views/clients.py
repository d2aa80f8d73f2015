"""Clients: who orders the work."""

from django.db.models import Count
from django.shortcuts import render
from django.urls import reverse

from inspections.access import fetch, firm_of, own
from inspections.forms.clients import ClientForm
from inspections.models import Client
from inspections.services.record import save_record
from inspections.views.form_page import form_page, posted
from inspections.views.lists import matching, page_of


def clients(request):
    words = request.GET.get("q", "")
    rows = matching(own(request, Client.objects), words, "name", "address", "email", "phone")
    rows = rows.annotate(installation_count=Count("installations")).order_by("name")
    return render(request, "inspections/clients.html", {"page": page_of(request, rows), "words": words})


def client(request, pk):
    row = fetch(request, Client.objects, pk)
    installations = row.installations.annotate(board_count=Count("boards")).order_by("name")
    return render(request, "inspections/client.html", {"client": row, "installations": installations})


def client_add(request):
    return _form(request, Client(firm=firm_of(request)), "Add a client", reverse("clients"), trail="clients")


def client_change(request, pk):
    row = fetch(request, Client.objects, pk)
    return _form(request, row, f"Change {row.name}", reverse("client", args=[pk]), trail=row)


def _form(request, row, heading, back, trail):
    form = ClientForm(posted(request), instance=row)
    return form_page(
        request,
        form,
        lambda: save_record(row, member=request.user),
        done=lambda: reverse("client", args=[row.pk]),
        said=lambda: f"Client saved: {row}.",
        heading=heading,
        back=back,
        trail=trail,
    )
