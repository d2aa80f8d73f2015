"""A report that another firm issued, opened here: sent, looked at, and brought in or dropped."""

from django import forms
from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from inspections.access import fetch, firm_of, own
from inspections.forms.layout import LaidOut, SuggestingInput
from inspections.models import Client
from inspections.services.uploads import drop_upload
from inspections.views.undo import say_with_undo
from reports.intake.uploads import RecordUpload, content_as_kept

UPLOADS = RecordUpload.objects.not_dropped()
LISTED = UPLOADS.defer("pdf", "record").select_related("sent_by", "inspection__installation")


class PlaceForm(LaidOut, forms.Form):
    """Whose installation it is here, and what it is called."""

    parts = (("In your record", ("client*", "installation*")),)
    client = forms.CharField(max_length=120, help_text="One of your clients by name, or a new one")
    installation = forms.CharField(max_length=120)

    def __init__(self, *args, clients=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["client"].widget = SuggestingInput(clients)


@require_http_methods(["GET", "POST"])
def record_intake(request):
    """Ask for the PDF of a report; keep it for its preview when a record can be read out of it."""
    from reports.intake.bring_in import keep_upload  # the readers of PDF stay out of start-up
    from reports.intake.read import MOST_BYTES, PROBLEMS, RecordIntakeError

    firm_of(request)
    problem = ""
    if request.method == "POST":
        sent = request.FILES.get("file")
        if sent is None:
            problem = "Choose the PDF of a report first."
        elif sent.size > MOST_BYTES:
            problem = f"{sent.name}: {PROBLEMS['too-large']}"
        else:
            try:
                upload = keep_upload(name=sent.name, pdf=sent.read(), member=request.user)
                return redirect("record_intake_preview", upload.pk)
            except RecordIntakeError as error:
                problem = f"{sent.name}: {error}"
    return render(
        request,
        "reports/record_intake.html",
        {"problem": problem, "uploads": own(request, LISTED)[:20]},
        status=422 if problem else 200,
    )


@require_http_methods(["GET", "POST"])
def record_intake_preview(request, pk):
    """What bringing a kept report in would do. A post brings it in, all at once."""
    from reports.intake.bring_in import bring_in_record, preview_record
    from reports.intake.read import RecordIntakeError

    upload = fetch(request, UPLOADS, pk)
    if upload.is_committed:
        return redirect("inspection", upload.inspection_id)
    content = content_as_kept(upload)
    form = PlaceForm(
        request.POST or None,
        clients=own(request, Client.objects.all()).values_list("name", flat=True)[:500],
        initial={"client": content["client"]["name"], "installation": content["installation"]["name"]},
    )
    named = form.cleaned_data if form.is_bound and form.is_valid() else form.initial
    brought, problem = None, ""
    try:
        if form.is_bound and form.is_valid() and "bring_in" in request.POST:
            brought = bring_in_record(upload=upload, member=request.user, **named)
            messages.success(request, f"{upload} is in the record, as an earlier visit.")
            return redirect("inspection", brought.inspection.pk)
        brought = preview_record(upload=upload, member=request.user, **named)
    except RecordIntakeError as error:
        problem = str(error)
    context = {
        "upload": upload, "content": content, "form": form, "brought": brought, "problem": problem,
    }  # fmt: skip
    return render(request, "reports/record_intake_preview.html", context, status=409 if problem else 200)


@require_POST
def record_intake_drop(request, pk):
    """Put a report away that was not brought in."""
    upload = fetch(request, UPLOADS, pk)
    if not upload.is_committed:
        drop_upload(upload=upload, member=request.user)
        say_with_undo(request, f"{upload} was dropped. Nothing changed.")
    return redirect("record_intake")
