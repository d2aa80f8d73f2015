"""The firm's own usual parts."""

from django.shortcuts import render
from django.urls import reverse

from inspections.access import fetch, firm_of, own
from inspections.views.form_page import form_page, posted
from remedies import services
from remedies.forms.loads import PresetForm
from remedies.models import LoadPreset


def load_presets(request):
    return render(request, "remedies/presets.html", {"presets": own(request, LoadPreset.objects)})


def load_preset_add(request):
    return _form(request, LoadPreset(firm=firm_of(request)), "Add one of your usual parts")


def load_preset_change(request, pk):
    row = fetch(request, LoadPreset.objects, pk)
    return _form(request, row, f"Change {row.name}")


def _form(request, row, heading):
    back = reverse("load_presets")
    return form_page(
        request,
        PresetForm(posted(request), instance=row),
        lambda: services.save_preset(preset=row, member=request.user),
        done=lambda: back,
        said=lambda: f"Saved: {row}. It is offered whenever a load is recorded.",
        heading=heading,
        back=back,
        template="remedies/preset_form.html",
    )
