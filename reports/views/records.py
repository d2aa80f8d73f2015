"""Issued records: lists of them, one by itself, and its files."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from inspections.access import fetch, own
from inspections.models import Installation
from inspections.views.lists import page_of
from reports import kept_pdf
from reports.kept_pdf import PdfLost
from reports.models import IssuedRecord
from reports.services.pdf import draw_lost_pdf, draw_pdf
from reports.verify import why_it_fails

LISTED = IssuedRecord.objects.defer("content").select_related("inspection__installation__client", "issued_by")
SIGNATURE = b"/ByteRange"  # stands in every PDF that is signed


@require_safe
def records(request):
    """Every record the firm issued, latest first."""
    return _list(request, own(request, LISTED))


@require_safe
def installation_records(request, pk):
    """The records of one installation, latest first."""
    installation = fetch(request, Installation.objects.select_related("client"), pk)
    return _list(request, LISTED.filter(inspection__installation=installation), installation)


@require_safe
def record(request, pk):
    """One record: what it says in brief, its files, its hash, and the records before and after it."""
    row = fetch(request, IssuedRecord.objects.select_related("issued_by", "inspection__installation"), pk)
    same_number = own(request, LISTED).filter(number=row.number)
    pdf, lost = _read_pdf(row)
    failure = why_it_fails(row) or lost
    context = {
        "record": row,
        "content": row.read(),
        "failure": failure,
        "pdf_lost": lost,
        "signed_by": "" if failure else _signed_by(pdf),
        "revisions": [other for other in same_number.order_by("revision") if other.pk != row.pk],
        "is_latest": not same_number.filter(revision__gt=row.revision).exists(),
        "before": own(request, LISTED).filter(sha256=row.previous_sha256).first()
        if row.previous_sha256
        else None,
        "links": row.client_links.select_related("given_by", "ended_by").prefetch_related("openings"),
        "today": timezone.localdate(),
        "after": own(request, LISTED).filter(previous_sha256=row.sha256).first(),
    }
    return render(request, "reports/record.html", context)


@require_safe
def record_json(request, pk):
    """The content to the byte, so that anyone can hash it."""
    row = fetch(request, IssuedRecord.objects.select_related("inspection__installation"), pk)
    return _file(row, row.json, "application/json", "json")


@require_http_methods(["GET", "HEAD", "POST"])
def record_pdf(request, pk):
    """The report as it was drawn. Posted to, draws it where that was not done yet, or its file is lost."""
    row = fetch(request, IssuedRecord.objects.select_related("inspection__installation"), pk)
    if request.method == "POST":
        try:
            draw = draw_lost_pdf if row.pdf_sha256 else draw_pdf
            draw(row)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        return redirect("record", pk)
    if not row.pdf_sha256:
        raise Http404("The PDF of this record has not been drawn.")
    try:
        return pdf_file(row)
    except PdfLost as lost:
        return render(request, "reports/pdf_lost.html", {"record": row, "lost": lost.message}, status=503)


def pdf_file(row):
    """The report of a record that was drawn. Raises PdfLost."""
    return _file(row, kept_pdf.read(row), "application/pdf", "pdf")


def _read_pdf(row):
    """The PDF, empty where it was not drawn; and why it cannot be read, empty where it can."""
    try:
        return kept_pdf.read(row) if row.pdf_sha256 else b"", ""
    except PdfLost as lost:
        return b"", lost.message


def _signed_by(pdf):
    """Whose certificate the PDF is signed with; empty when it is not signed, or not drawn."""
    if SIGNATURE not in pdf:
        return ""
    from reports.report.sign import signed_by  # pyHanko stays out of start-up

    return signed_by(pdf)


def _list(request, rows, installation=None):
    context = {"page": page_of(request, rows), "installation": installation}
    return render(request, "reports/records.html", context)


def _file(row, content, content_type, ext):
    name = f"{slugify(f'{row.inspection.installation} {row.designation}')}.{ext}"
    response = HttpResponse(content, content_type=content_type)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
