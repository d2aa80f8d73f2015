"""Test instruments of the firm."""

from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from inspections.access import fetch, firm_of, own
from inspections.forms.instruments import InstrumentForm
from inspections.models import Instrument
from inspections.services.record import save_record
from inspections.views.form_page import form_page, posted


def instruments(request):
    today = timezone.localdate()
    rows = own(request, Instrument.objects)
    context = {
        "in_use": [(row, row.is_calibrated_on(today)) for row in rows.filter(retired_on__isnull=True)],
        "retired": rows.filter(retired_on__isnull=False),
    }
    return render(request, "inspections/instruments.html", context)


def instrument_add(request):
    return _form(request, Instrument(firm=firm_of(request)), "Add an instrument")


def instrument_change(request, pk):
    row = fetch(request, Instrument.objects, pk)
    return _form(request, row, f"Change {row}")


def _form(request, row, heading):
    return form_page(
        request,
        InstrumentForm(posted(request), instance=row),
        lambda: save_record(row, member=request.user),
        done=lambda: reverse("instruments"),
        said=lambda: f"Instrument saved: {row}.",
        heading=heading,
        back=reverse("instruments"),
        trail="instruments",
    )
