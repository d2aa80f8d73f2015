"""The glow worksheet: from a lamp that glows when off to a remedy that is safe, works and is recorded."""

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST
from django_htmx.http import HttpResponseClientRefresh

from inspections.access import fetch, firm_of, own
from inspections.forms.layout import LaidOut
from inspections.models import Circuit, Installation, Instrument
from inspections.views.form_page import form_page, posted
from inspections.views.lists import page_of
from inspections.views.undo import say_with_undo
from remedies import cautions
from remedies.glow import services
from remedies.glow.forms import CloseForm, FitForm, WorksheetForms
from remedies.models import GlowWorksheet

WITH_PLACE = "circuit__board__installation__client__firm"


class StartForm(LaidOut, forms.ModelForm):
    begins_typing = False

    class Meta:
        model = GlowWorksheet
        fields = ("complaint", "opened_on")
        labels = {"opened_on": "Opened on"}
        help_texts = {"complaint": "Three lamps on the landing glow faintly at night"}


def glow_worksheets(request, pk=None):
    """The worksheets of the firm; of one installation when ``pk`` names it. Open ones first."""
    rows = GlowWorksheet.objects.for_firm(firm_of(request)).for_lists().open_first()
    installation = None
    if pk is not None:
        installation = fetch(request, Installation.objects.select_related("client"), pk)
        rows = rows.for_installation(installation)
    context = {"page": page_of(request, rows), "installation": installation}
    return render(request, "remedies/glow_worksheets.html", context)


def glow_start(request, pk):
    circuit = fetch(request, Circuit.objects.select_related("board__installation__client__firm"), pk)
    row = GlowWorksheet(circuit=circuit, opened_on=timezone.localdate(), opened_by=request.user)
    opened = []

    def save():
        opened.append(
            services.open_worksheet(
                circuit=circuit, complaint=row.complaint, on=row.opened_on, member=request.user
            )
        )

    return form_page(
        request,
        StartForm(posted(request), instance=row),
        save,
        done=lambda: reverse("glow", args=[opened[0].pk]),
        said=f"Opened for {circuit}. Answer what you can; every answer shifts the weight of the causes.",
        heading=f"Lamps glow when off: {circuit}",
        intro="From what you see, to the cause, to a remedy that leaves the circuit testable.",
        back=reverse("circuit", args=[pk]),
        trail=circuit,
        button="Open the worksheet",
        earlier=circuit.glow_worksheets.for_lists(),
        template="remedies/glow_start.html",
    )


def glow(request, pk):
    """The whole worksheet. Posted, it keeps what holds and tells what does not."""
    worksheet = _fetch(request, pk)
    if request.method != "POST":
        return _page(request, worksheet)
    if not worksheet.is_open:
        return _ended_already(request, pk)
    page = _forms(request, worksheet)
    if not _kept(request, worksheet, page):
        return _page(request, worksheet, page)
    say_with_undo(request, "Worksheet saved.")
    slow = "?slow=1" if "slow" in request.POST else ""
    return redirect(f"{reverse('glow', args=[pk])}{slow}{_anchor(request)}")


def _anchor(request):
    if "answer" in request.POST:
        return "#cause"
    return "#remedies" if "slow" in request.POST else ""


@require_POST
def glow_part(request, pk):
    """All that is calculated, from what is typed and not yet kept. An answer is kept at once."""
    worksheet = _fetch(request, pk)
    if not worksheet.is_open:
        return HttpResponseClientRefresh()
    page = _forms(request, worksheet)
    answers = page.entered()["answers"]
    if answers != worksheet.answers:
        worksheet = services.record_worksheet(
            worksheet=worksheet, entered={"answers": answers}, member=request.user
        )
    services.apply(worksheet, page.typed())
    context = _context(request, worksheet, page, with_slow="slow" in request.POST)
    return render(
        request, "remedies/_glow_parts.html", {**context, "oob": True, "answered": "answer" in request.POST}
    )


@require_POST
def glow_fit(request, pk):
    """Fit the chosen remedy: it goes into the load register, with this worksheet behind it."""

    def end(worksheet, form):
        return services.fit_remedy(
            worksheet=worksheet,
            chosen=request.POST.get("chosen", ""),
            member=request.user,
            **form.cleaned_data,
        )

    return _end(
        request,
        pk,
        "fit",
        end,
        "Fitted and registered. The label at the board is now out of date: print a new one.",
    )


@require_POST
def glow_close(request, pk):
    """End the case without a part left across the circuit."""

    def end(worksheet, form):
        services.close_worksheet(worksheet=worksheet, member=request.user, **form.cleaned_data)

    return _end(request, pk, "close", end, "Ended. Nothing stays across the circuit.")


def _end(request, pk, which, end, said):
    """Keep what was typed, then end the case; what is refused stands beside its field."""
    worksheet = _fetch(request, pk)
    if not worksheet.is_open:
        return _ended_already(request, pk)
    page = _forms(request, worksheet)
    form = _END_FORMS[which](request.POST, prefix=which)
    ended = []
    kept = _kept(request, worksheet, page)
    if kept and form.is_valid() and _accepted(form, lambda: ended.append(end(worksheet, form))):
        say_with_undo(request, said, instead=reverse("glow", args=[pk]))
        load = ended[0]
        return redirect("load", load.pk) if load else redirect("glow", pk)
    return _page(request, worksheet, page, **{which: form})


_END_FORMS = {"fit": FitForm, "close": CloseForm}


def _ended_already(request, pk):
    messages.error(request, services.ENDED)
    return redirect("glow", pk)


def _kept(request, worksheet, page):
    """Keep what holds of all that was typed. Whether that was everything."""
    entered = page.entered()
    accepted = _accepted(
        page.conclusion,
        lambda: services.record_worksheet(worksheet=worksheet, entered=entered, member=request.user),
    )
    return accepted and page.are_valid


def _accepted(form, save):
    """Whether ``save`` was accepted. What was refused heads the form, whatever it is about."""
    try:
        save()
    except ValidationError as error:
        form.add_error(None, error.messages)
        return False
    return True


def _page(request, worksheet, page=None, **end_forms):
    if not worksheet.is_open:
        context = {"worksheet": worksheet, "sheet": services.sheet_of(worksheet)}
        return render(request, "remedies/glow_ended.html", context)
    if page:
        services.apply(worksheet, page.typed())
    page = page or _forms(request, worksheet)
    context = _context(request, worksheet, page, with_slow="slow" in request.GET)
    for which, form in _END_FORMS.items():
        context[which] = end_forms.get(which) or form(prefix=which, initial=_usual_end(worksheet))
    return render(request, "remedies/glow.html", context)


def _usual_end(worksheet):
    return {"on": max(timezone.localdate(), worksheet.opened_on), "is_hidden": True}


def _context(request, worksheet, page, *, with_slow):
    return {
        "worksheet": worksheet,
        "forms": page,
        "sheet": services.sheet_of(worksheet, with_slow=with_slow),
        "cautions": (cautions.COMPETENT, cautions.ISOLATE, cautions.NO_PROOF, cautions.DISCHARGE),
    }


def _forms(request, worksheet):
    meters = own(request, Instrument.objects).filter(
        input_resistance_ohm__isnull=False, retired_on__isnull=True
    )
    return WorksheetForms(worksheet, meters, posted(request))


def _fetch(request, pk):
    return fetch(
        request, GlowWorksheet.objects.select_related(WITH_PLACE, "load", "opened_by", "ended_by"), pk
    )
