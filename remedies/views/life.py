"""What happens to a load: recorded, confirmed, disconnected, put back, taken out, replaced, corrected."""

from django.urls import reverse
from django.utils import timezone

from inspections.access import fetch, own
from inspections.models import Circuit, Inspection
from inspections.numbers import whole_number
from inspections.views.form_page import form_page, posted
from remedies import services
from remedies.forms.loads import DayForm, LoadForm, ReplacementForm, SuspicionForm, TakeOutForm, as_typed
from remedies.models import LoadPreset, ParallelLoad
from remedies.views.register import WITH_PLACE

FILLED_IN = ("known", "kind", "count", "place", "reason")


def load_add(request, pk):
    """``?inspection=`` names the visit, ``?preset=`` the part to begin from; other pages fill in what they
    already know of the load."""
    circuit = fetch(request, Circuit.objects.select_related("board__installation__client__firm"), pk)
    visits = Inspection.objects.filter(installation=circuit.board.installation_id)
    visit = _named(request, visits, "inspection")
    day = visit.started_on if visit else timezone.localdate()
    row = ParallelLoad(circuit=circuit, inspection=visit, since=day)
    return _load_form(
        request,
        LoadForm(
            posted(request),
            request.FILES or None,
            instance=row,
            initial={**_filled_in(request), **_from_preset(request)},
        ),
        lambda: services.record_load(load=row, member=request.user),
        heading=f"Record a load across {circuit}",
        back=reverse("inspection", args=[visit.pk]) if visit else reverse("circuit", args=[pk]),
        said=lambda: f"Recorded: {row}. The label at the board is now out of date: print a new one.",
    )


def load_change(request, pk):
    row = _fetch(request, pk)
    return _load_form(
        request,
        LoadForm(posted(request), request.FILES or None, instance=row),
        lambda: services.change_load(load=row, member=request.user, reason="Corrected"),
        heading=f"Correct the entry: {row.in_brief()}",
        back=reverse("load", args=[pk]),
        said=lambda: f"Entry corrected: {row}.",
    )


def load_replace(request, pk):
    """Take a load out and record what is fitted in its stead."""
    old = _fetch(request, pk)
    row = ParallelLoad(
        circuit=old.circuit,
        place=old.place,
        access=old.access,
        access_minutes=old.access_minutes,
        is_hidden=old.is_hidden,
        connection=old.connection,
        count=old.count,
        reason=old.reason,
        since=timezone.localdate(),
    )
    form = ReplacementForm(
        posted(request),
        request.FILES or None,
        instance=row,
        initial={"by": request.user.name, **_from_preset(request)},
    )

    def save():
        services.replace_load(load=old, new=row, by=form.cleaned_data["by"], member=request.user)

    return _load_form(
        request,
        form,
        save,
        heading=f"Replace {old.in_brief()}",
        back=reverse("load", args=[pk]),
        said=lambda: f"Replaced by {row}. The label at the board is now out of date: print a new one.",
        intro=f"Say what is fitted instead of {old}.",
        is_work=True,
    )


def _load_form(request, form, save, *, heading, back, said, **context):
    row = form.instance
    presets = list(own(request, LoadPreset.objects)) if row.pk is None else []
    return form_page(
        request,
        form,
        save,
        done=lambda: reverse("load", args=[row.pk]),
        said=said,
        heading=heading,
        back=back,
        trail=row.circuit,
        template="remedies/load_form.html",
        presets=presets,
        preset_values={preset.pk: as_typed(preset) for preset in presets},
        preset_chosen=request.GET.get("preset", ""),
        visit=row.inspection,
        **context,
    )


def _named(request, rows, name):
    """The row of the firm that ``?name=`` points at, or None."""
    return own(request, rows).filter(pk=whole_number(request.GET.get(name, ""))).first()


def _filled_in(request):
    """What the page that led here already knows of the load."""
    return {name: request.GET[name] for name in FILLED_IN if name in request.GET}


def _from_preset(request):
    preset = _named(request, LoadPreset.objects, "preset")
    return preset.values() if preset else {}


def load_confirm(request, pk):
    """Say what became of a suspicion."""
    row = _fetch(request, pk)
    form = SuspicionForm(posted(request))

    def save():
        cleaned = form.cleaned_data
        if cleaned["answer"] == SuspicionForm.FOUND:
            services.confirm_load(load=row, on=cleaned["on"], member=request.user, reason=cleaned["reason"])
        else:
            services.dismiss_suspicion(load=row, member=request.user, reason=cleaned["reason"])

    return form_page(
        request,
        form,
        save,
        done=lambda: _where_it_went(form, row),
        said=lambda: f"{dict(form.fields['answer'].choices)[form.cleaned_data['answer']]}: {row}.",
        heading="Is it there?",
        intro=str(row),
        back=reverse("load", args=[pk]),
        trail=row.circuit,
    )


def _where_it_went(form, row):
    if form.cleaned_data["answer"] == SuspicionForm.FOUND:
        return reverse("load_change", args=[row.pk])
    return reverse("loads", args=[row.circuit.board.installation_id])


def load_disconnect(request, pk):
    return _day_page(
        request,
        pk,
        services.disconnect_for_test,
        "Disconnect for a test",
        "Disconnected: {}. Put it back after the test.",
        "It is disconnected",
    )


def load_put_back(request, pk):
    return _day_page(
        request, pk, services.put_back, "Put back after the test", "Put back: {}.", "It is put back"
    )


def _day_page(request, pk, move, heading, said, button):
    row = _fetch(request, pk)
    form = DayForm(posted(request))
    return form_page(
        request,
        form,
        lambda: move(load=row, member=request.user, **form.cleaned_data),
        done=lambda: _back_to(request, row),
        said=said.format(row),
        heading=heading,
        intro=str(row),
        button=button,
        back=reverse("load", args=[pk]),
        trail=row.circuit,
        template="remedies/move_form.html",
    )


def _back_to(request, row):
    """The entry; or its place on the before-you-test sheet, when it was ticked there."""
    if request.GET.get("from") == "sheet":
        return reverse("before_you_test", args=[row.circuit.board_id]) + f"#load-{row.pk}"
    return reverse("load", args=[row.pk])


def load_take_out(request, pk):
    row = _fetch(request, pk)
    form = TakeOutForm(posted(request), initial={"by": request.user.name})
    return form_page(
        request,
        form,
        lambda: services.take_out_load(load=row, member=request.user, **form.cleaned_data),
        done=lambda: reverse("load", args=[pk]),
        said=f"Taken out: {row}. The label at the board is now out of date: print a new one.",
        heading="Take out for good",
        intro=str(row),
        button="It is taken out",
        back=reverse("load", args=[pk]),
        trail=row.circuit,
        template="remedies/move_form.html",
    )


def _fetch(request, pk):
    return fetch(request, ParallelLoad.objects.select_related(WITH_PLACE, "inspection"), pk)
