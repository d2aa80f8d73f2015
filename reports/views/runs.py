"""Many reports at once: what waits to be issued, what may be exported, and how far a run is."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db import transaction
from django.db.models import Count
from django.http import StreamingHttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inspections.access import fetch, firm_of, own
from inspections.numbers import whole_number
from inspections.views.form_page import form_page, posted
from reports.blocks import blocks_of
from reports.examination import Examination
from reports.forms import ExportForm
from reports.models import IssuedRecord
from reports.runs.archive import archive_of
from reports.runs.tables import Run, RunKind, RunOutcome
from reports.runs.work import start_worker
from reports.services.runs import begin_export, begin_issue, in_review, resume_run, stop_run

LOOKED_AT = 20  # visits to a page: each is looked through for what stands in its way
SHOWN = 50


@require_http_methods(["GET", "POST"])
def issue_many(request):
    """What is in review, and of each whether it is ready. A post has those ticked issued, or all."""
    firm_of(request)
    visits = in_review(request.user).select_related("installation__client__firm", "inspector", "based_on")
    problem = ""
    if request.method == "POST":
        ticked = [pk for text in request.POST.getlist("visit") if (pk := whole_number(text))]
        chosen = visits if "all" in request.POST else visits.filter(pk__in=ticked)
        try:
            run = begin_issue(inspections=chosen, member=request.user)
            transaction.on_commit(start_worker)
            return redirect("run", run.pk)
        except ValidationError as error:
            problem = " ".join(error.messages)
    page = Paginator(visits, LOOKED_AT).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": [(visit, blocks_of(Examination(visit))) for visit in page],
        "problem": problem,
        "runs": own(request, Run.objects.filter(kind=RunKind.ISSUE).select_related("member"))[:10],
    }
    return render(request, "reports/issue_many.html", context, status=409 if problem else 200)


def export_many(request):
    """Ask which records are to be exported, and begin with it."""
    firm_of(request)
    form = ExportForm(posted(request))
    begun = []

    def save():
        records = form.chosen(own(request, IssuedRecord.objects.order_by("number", "revision")))
        begun.append(
            begin_export(
                records=records.defer("content"),
                draw_again=form.cleaned_data["draw_again"],
                member=request.user,
            )
        )
        transaction.on_commit(start_worker)

    return form_page(
        request,
        form,
        save,
        done=lambda: reverse("run", args=[begun[0].pk]),
        said="Started. You may leave this page; it carries on by itself.",
        undo=False,
        heading="Export many records",
        back=reverse("records"),
        template="reports/export_many.html",
        button="Begin",
        runs=own(request, Run.objects.filter(kind=RunKind.EXPORT).select_related("member"))[:10],
        intro=(
            "Each record is checked against its hash and its report is drawn where that was not done yet. "
            "All are handed over as one ZIP: PDF and content of each."
        ),
    )


@require_safe
def run(request, pk):
    """How far a run is, what was left out and why. The page asks for itself again while it is under way."""
    row = fetch(request, Run.objects.select_related("member"), pk)
    counts = dict(row.items.order_by().values_list("outcome").annotate(n=Count("pk")))
    total = sum(counts.values())
    items = row.items.select_related("inspection__installation", "record").defer("record__content")
    context = {
        "run": row,
        "total": total,
        "done": total - counts.get(RunOutcome.WAITING, 0),
        "well": counts.get(RunOutcome.DONE, 0),
        "differs": items.filter(outcome=RunOutcome.DIFFERS),
        "left_out": Paginator(items.filter(outcome=RunOutcome.LEFT_OUT), SHOWN).get_page(
            request.GET.get("page")
        ),
        "latest": items.filter(outcome=RunOutcome.DONE).order_by("-pk")[:5],
        "is_silent": row.is_silent(timezone.now()),
    }
    return render(request, "reports/run.html", context)


@require_POST
def run_stop(request, pk):
    """Stop after the report in hand."""
    return _asked(request, pk, stop_run, "Stopped. What is done stays done; it can go on from there.")


@require_POST
def run_resume(request, pk):
    """Go on where it was."""
    response = _asked(request, pk, resume_run, "It goes on from where it stopped.")
    transaction.on_commit(start_worker)
    return response


def _asked(request, pk, service, said):
    row = fetch(request, Run.objects.all(), pk)
    try:
        service(run=row, member=request.user)
        messages.success(request, said)
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
    return redirect("run", pk)


@require_safe
def run_archive(request, pk):
    """Its records as one ZIP."""
    row = fetch(request, Run.objects.all(), pk)
    name = f"records-{timezone.localtime(row.begun_at):%Y-%m-%d-%H%M}.zip"
    return StreamingHttpResponse(
        archive_of(row),
        content_type="application/zip",
        headers={
            "Content-Disposition": f'attachment; filename="{name}"',
            "Content-Encoding": "identity",  # it is compressed in itself
        },
    )
