"""Files that leave the program."""

from django.http import Http404, HttpResponse
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from inspections.access import fetch
from inspections.models import Inspection

PDF = "application/pdf"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require_safe
def sheet_download(request, inspection_pk, kind, ext):
    """A schedule or the load register of an inspection, as PDF or workbook."""
    from reports.content import content_of
    from reports.schedules import DOCUMENTS  # reportlab and openpyxl stay out of start-up
    from reports.write import write

    inspections = Inspection.objects.select_related("installation__client__firm", "inspector")
    inspection = fetch(request, inspections, inspection_pk)
    if kind not in DOCUMENTS:
        raise Http404
    content = write(DOCUMENTS[kind](content_of(inspection)), ext)
    name = f"{slugify(str(inspection.installation))}-{inspection.started_on:%Y-%m-%d}-{kind}.{ext}"
    return _download(content, PDF if ext == "pdf" else XLSX, name)


def _download(content, content_type, name):
    response = HttpResponse(content, content_type=content_type)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
