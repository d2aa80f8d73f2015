"""Reports that are drawn from the record as it stands: a draft, the pack of a visit, the remedial report."""

from django.http import HttpResponse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from inspections.access import fetch
from inspections.models import Inspection

WITH_PLACE = Inspection.objects.select_related("installation__client__firm", "inspector")


@require_safe
def report_preview(request, pk):
    """The report of an inspection as it stands, marked as a draft on every page."""
    from reports.content import gather
    from reports.report.draw import draw_report  # reportlab stays out of start-up

    inspection = fetch(request, WITH_PLACE, pk)
    gathered = gather(inspection)
    return _shown(draw_report(gathered.content, gathered.photos), inspection, "draft-report")


@require_safe
def visit_pack(request, pk):
    """What to take to a visit, to write on."""
    from reports.pdf.visit_pack import visit_pack_pdf
    from reports.visit_pack import visit_pack as pack_of

    inspection = fetch(request, WITH_PLACE, pk)
    return _shown(visit_pack_pdf(pack_of(inspection, timezone.localdate())), inspection, "visit-pack")


@require_safe
def remedial_report(request, pk):
    """What became of the observations of an inspection."""
    from reports.pdf.remedial import remedial_pdf
    from reports.remedial import remedial

    inspection = fetch(request, WITH_PLACE, pk)
    return _shown(remedial_pdf(remedial(inspection, timezone.localdate())), inspection, "remedial-report")


def _shown(content, inspection, kind):
    """A PDF that the browser shows, under a name that says what it is."""
    name = f"{slugify(str(inspection.installation))}-{inspection.started_on:%Y-%m-%d}-{kind}.pdf"
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response
