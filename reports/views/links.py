"""A client's link to an issued record: given and ended by the firm, followed by the client."""

from datetime import timedelta

from django.contrib.auth.decorators import login_not_required
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inspections.access import fetch
from inspections.forms.layout import saved
from inspections.views.form_page import posted
from inspections.views.undo import say_with_undo
from reports.forms import LinkForm
from reports.kept_pdf import PdfLost
from reports.links.services import end_link, follow, give_link
from reports.links.tables import ClientLink, OpenedPart
from reports.models import IssuedRecord
from reports.views.records import pdf_file

USUAL_DAYS = 90
UNSEEN_ELSEWHERE = {  # found by no search, told to no other site, left in no shared cache
    "X-Robots-Tag": "noindex, nofollow",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}


@require_http_methods(["GET", "POST"])
def client_link_give(request, pk):
    """The link is shown once: it is kept nowhere."""
    record = fetch(request, IssuedRecord.objects.select_related("inspection__installation__client"), pk)
    installation = record.inspection.installation
    until = timezone.localdate() + timedelta(days=USUAL_DAYS)
    form = LinkForm(posted(request), initial={"given_to": installation.client.name, "expires_on": until})
    token = []
    if request.method == "POST" and saved(
        form, lambda: token.append(give_link(record=record, member=request.user, **form.cleaned_data))
    ):
        link = request.build_absolute_uri(reverse("client_report", args=token))
        context = {"record": record, "link": link, **form.cleaned_data}
        return _unseen(render(request, "reports/client_link_given.html", context))
    context = {
        "form": form,
        "heading": f"A link to {record} for the client",
        "intro": "Anyone with the link can read this one report and nothing else, without a sign-in.",
        "back": reverse("record", args=[pk]),
        "trail": record.inspection,
        "button": "Make the link",
    }
    return render(request, "inspections/form.html", context)


@require_POST
def client_link_end(request, pk):
    link = end_link(link=fetch(request, ClientLink.objects.all(), pk), member=request.user)
    say_with_undo(request, f"The link for {link.given_to} no longer works.")
    return redirect("record", link.record_id)


@login_not_required
@require_safe
def client_report(request, token):
    """The report in brief, and its PDF to take."""
    link = follow(token, OpenedPart.SUMMARY)
    if link is None:
        return _opens_nothing(request)
    record = link.record
    later = IssuedRecord.objects.filter(
        firm=record.firm, number=record.number, revision__gt=record.revision
    ).exists()
    context = {
        "record": record,
        "content": record.read(),
        "link": link,
        "token": token,
        "is_latest": not later,
    }
    return _unseen(render(request, "reports/client_report.html", context))


@login_not_required
@require_safe
def client_report_pdf(request, token):
    link = follow(token, OpenedPart.REPORT)
    if link is None:
        return _opens_nothing(request)
    try:
        return _unseen(pdf_file(link.record))
    except PdfLost:  # the firm's own page of the record says what is wrong with it
        context = {"record": link.record, "token": token}
        return _unseen(render(request, "reports/client_pdf_lost.html", context, status=503))


def _opens_nothing(request):
    """One answer whether the link was never there, has expired or was ended."""
    return _unseen(render(request, "reports/client_link_ended.html", status=404))


def _unseen(response):
    for name, value in UNSEEN_ELSEWHERE.items():
        response[name] = value
    return response
