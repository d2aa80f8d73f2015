"""The glow worksheet for the job file."""

from django.http import HttpResponse
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from inspections.access import fetch
from remedies.models import GlowWorksheet

WITH_PLACE = "circuit__board__installation__client__firm"


@require_safe
def glow_pdf(request, pk):
    """The worksheet on one page, as it stands."""
    from reports.pdf.glow import write_glow_pdf  # reportlab stays out of start-up

    rows = GlowWorksheet.objects.select_related(WITH_PLACE, "load", "opened_by", "ended_by")
    worksheet = fetch(request, rows, pk)
    response = HttpResponse(write_glow_pdf(worksheet), content_type="application/pdf")
    name = f"{slugify(str(worksheet.circuit.board.installation))}-{slugify(str(worksheet.circuit))}-glow.pdf"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
