"""The load register: of an installation, of the firm, and one entry of it."""

from django.http import FileResponse, Http404
from django.shortcuts import render

from inspections.access import fetch, firm_of
from inspections.models import Installation
from inspections.views.lists import page_of
from remedies import bridge, cautions
from remedies.enums import BETWEEN_LIVES
from remedies.forms.register import RegisterFilterForm
from remedies.history import ruled_out, steps_of
from remedies.labels import label_statuses
from remedies.models import ParallelLoad
from remedies.selectors import firm_register, installation_register

WITH_PLACE = "circuit__board__installation__client__firm"


def loads(request, pk):
    """The register of one installation, with how its boards stand with their labels."""
    installation = fetch(request, Installation.objects.select_related("client"), pk)
    asked = RegisterFilterForm(request.GET)
    boards = list(installation.boards.in_use().select_related("installation"))
    labels = label_statuses(boards)
    page = page_of(request, installation_register(installation, asked.chosen()))
    context = {
        "installation": installation,
        "filter": asked,
        "page": page,
        "ever": ParallelLoad.objects.for_installation(installation),
        "labels": labels,
        "boards": [(board, labels[board.pk]) for board in boards],
        "ruled_out": ruled_out(installation),
    }
    return render(request, "remedies/loads.html", context)


def firm_loads(request):
    """The register of the whole firm, by installation."""
    asked = RegisterFilterForm(request.GET)
    page = page_of(request, firm_register(firm_of(request), asked.chosen()))
    boards = {load.circuit.board_id: load.circuit.board for load in page.object_list}
    context = {
        "filter": asked,
        "page": page,
        "ever": ParallelLoad.objects.for_firm(firm_of(request)),
        "labels": label_statuses(list(boards.values())),
    }
    return render(request, "remedies/firm_loads.html", context)


def load(request, pk):
    """One entry: what it is, what it does to a reading, and what became of it."""
    row = fetch(request, ParallelLoad.objects.select_related(WITH_PLACE, "inspection", "replaced_by"), pk)
    to_earth = row.connection not in BETWEEN_LIVES
    context = {
        "load": row,
        "expected": [bridge.expected_reading_for([row], v, to_earth=to_earth) for v in (250, 500)],
        "to_earth": to_earth,
        "ruling": bridge.rulings([row])[0],
        "cautions": cautions.of_load(row, row.circuit.board.installation.nominal_voltage_v),
        "steps": steps_of(row),
        "replaces": ParallelLoad.objects.filter(replaced_by=row).first(),
    }
    return render(request, "remedies/load.html", context)


def load_photo(request, pk):
    row = fetch(request, ParallelLoad.objects, pk)
    if not row.photo:
        raise Http404("This load has no photograph.")
    return FileResponse(row.photo.open(), content_type="image/jpeg")
