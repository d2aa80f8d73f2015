"""Spreadsheet intake: send a file, look at what it would do, re-map columns, bring it in or drop it."""

import re

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from inspections.access import fetch
from inspections.intake.grid import MAX_BYTES
from inspections.intake.result import IGNORE, IntakeError
from inspections.intake.tables import TABLES
from inspections.models import Inspection, Upload
from inspections.numbers import whole_number
from inspections.services.intake_commit import RecordMoved, commit_intake
from inspections.services.intake_plan import plan_intake, read_upload
from inspections.services.record import save_record
from inspections.services.results import InspectionClosed
from inspections.services.uploads import drop_upload, keep_upload
from inspections.views.undo import say_with_undo

UPLOADS = Upload.objects.not_dropped().select_related("inspection__installation")


@require_http_methods(["GET", "POST"])
def intake(request, inspection_pk):
    """Ask for a file; keep it for its preview when it can be read at all."""
    inspection = fetch(request, Inspection.objects.select_related("installation"), inspection_pk)
    problem = ""
    if request.method == "POST":
        sent = request.FILES.get("file")
        if not inspection.is_open:
            problem = "This visit is no longer a draft, so nothing can be brought in."
        elif sent is None:
            problem = "Choose a spreadsheet first (.xlsx or .csv)."
        elif sent.size > MAX_BYTES:
            problem = f"{sent.name} is larger than 10 MB. Send the sheets of one visit only."
        else:
            upload = Upload(
                inspection=inspection, name=sent.name[:200], content=sent.read(), sent_by=request.user
            )
            try:
                read_upload(upload)
                keep_upload(upload=upload, member=request.user)
                return redirect("intake_preview", upload.pk)
            except IntakeError as error:
                problem = f"{sent.name}: {error}"
    return render(
        request,
        "inspections/intake.html",
        {"inspection": inspection, "problem": problem},
        status=422 if problem else 200,
    )


@require_http_methods(["GET", "POST"])
def intake_preview(request, upload_pk):
    """Show what a kept file would do to the record. A post keeps the choices made and shows it again."""
    upload = fetch(request, UPLOADS, upload_pk)
    if upload.committed_at:
        return redirect("inspection", upload.inspection_id)
    if request.method == "POST":
        upload.choices = _choices(request.POST, upload.choices)
        save_record(upload, member=request.user)
        return redirect("intake_preview", upload.pk)
    return _preview(request, upload)


@require_POST
def intake_commit(request, upload_pk):
    """Bring a previewed file in, all at once."""
    upload = fetch(request, UPLOADS, upload_pk)
    if upload.committed_at:
        messages.info(request, f"{upload.name} is already in the record.")
        return redirect("inspection", upload.inspection_id)
    try:
        plan = commit_intake(upload=upload, digest=request.POST.get("digest", ""), member=request.user)
    except RecordMoved:
        return _preview(
            request,
            upload,
            "Nothing was brought in: the record has changed since. Look at the preview again.",
        )
    except (InspectionClosed, ValidationError) as error:
        words = " ".join(error.messages) if isinstance(error, ValidationError) else str(error)
        return _preview(request, upload, f"Nothing was brought in. {words}")
    say_with_undo(
        request,
        f"{upload.name} is in the record: {len(plan.circuits)} circuits.",
        instead=reverse("intake_preview", args=[upload.pk]),
    )
    return redirect("findings", upload.inspection_id)


@require_POST
def intake_drop(request, upload_pk):
    """Put a file away that was not brought in."""
    upload = fetch(request, UPLOADS, upload_pk)
    if not upload.committed_at:
        drop_upload(upload=upload, member=request.user)
        preview = reverse("intake_preview", args=[upload.pk])
        say_with_undo(request, f"{upload.name} was dropped. Nothing changed.", instead=preview)
    return redirect("inspection", upload.inspection_id)


def _preview(request, upload, problem=""):
    file = read_upload(upload)
    plan = plan_intake(file, upload.inspection, upload.choices)
    return render(
        request,
        "inspections/intake_preview.html",
        {
            "upload": upload,
            "inspection": upload.inspection,
            "plan": plan,
            "problem": problem,
            "sheets": _headings_by_sheet(file, upload.choices),
            "notes": [
                (index, note, index in upload.choices.get("limitation_notes", []))
                for index, note in enumerate(file.notes)
                if note.kind == "remark"
            ],
            "cell_notes": [(row, cell) for row in file.rows for cell in row.cells.values() if cell.note],
        },
        status=409 if problem else 200,
    )


def _headings_by_sheet(file, choices):
    mapped = {(sheet, letter): name for sheet, letter, name in choices.get("columns", [])}
    fields = {
        table.kind: [(field.name, field.title, field.group) for field in table.fields] for table in TABLES
    }
    sheets: dict[tuple[str, str], list] = {}
    for heading in file.headings:
        chosen = mapped.get((heading.sheet, heading.column), heading.name or "")
        sheets.setdefault((heading.sheet, heading.table), []).append((heading, chosen, fields[heading.table]))
    return [(sheet, rows) for (sheet, _), rows in sheets.items()]


def _choices(posted, before):
    """Columns re-mapped by the person, the board, and the notes taken as limitations."""
    mapped = {(sheet, letter) for sheet, letter, _ in before.get("columns", [])}
    columns = []
    for key, name in posted.items():
        match = re.fullmatch(r"map\|(?P<sheet>.*)\|(?P<letter>[A-Z]{1,3})", key)
        if match is None:
            continue
        sheet, letter = match.groups()
        if (sheet, letter) in mapped or name != (posted.get(f"was|{sheet}|{letter}") or IGNORE):
            columns.append([sheet, letter, name])
    notes = [index for text in posted.getlist("limitation_note") if (index := whole_number(text)) is not None]
    return {"columns": columns, "board": posted.get("board", "").strip(), "limitation_notes": notes}
