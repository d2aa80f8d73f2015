"""The firm's audit: each question on a page, in files, and under a name."""

from dataclasses import dataclass
from datetime import date
from tempfile import TemporaryFile

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpResponse, QueryDict, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from inspections.access import fetch, firm_of
from inspections.models import Client, Installation
from inspections.services.record import delete_record, save_record
from inspections.views.undo import say_with_undo
from reports.audit.asked import Asked, read_address
from reports.audit.question import Link, Question, answer
from reports.audit.questions import QUESTIONS
from reports.audit.reminders import want_reminders
from reports.audit.tables import SavedFilter
from reports.audit.work_out import bring_up_to_date

CSV, PDF = "text/csv; charset=utf-8", "application/pdf"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
MOST_CLIENTS_LISTED = 300
MOST_OF_A_FIGURE = 13  # letters
FILES = (("xlsx", "Workbook"), ("csv", "CSV"), ("pdf", "PDF"))


@require_safe
def audit(request):
    """The questions, each with how many rows it finds, and the filters that were saved."""
    firm, day = firm_of(request), timezone.localdate()
    left = bring_up_to_date(firm, day)
    found = []
    for question in QUESTIONS.values():
        count = question.found(_asked(question, QueryDict(), firm, day)).count()
        found.append((question, f"{count:,}", question.one if count == 1 else question.several))
    saved = [
        (one, QUESTIONS[one.question])
        for one in SavedFilter.objects.for_firm(firm).select_related("saved_by")
        if one.question in QUESTIONS
    ]
    return render(request, "reports/audit.html", {"questions": found, "saved": saved, "left": left})


@require_safe
def audit_question(request, key):
    """One question: its choices with counts, and a page of rows."""
    question, asked, left = _read(request, key)
    found = answer(question, asked)
    context = {
        "question": question,
        "asked": asked,
        "answer": found,
        "table": [_line(question, row, asked) for row in found.rows],
        "headings": question.columns,
        "numbers": [(number, asked.numbers.get(number.name)) for number in question.numbers],
        "clients": _clients(asked),
        "place": fetch(request, Installation.objects, asked.place) if asked.place else None,
        "address": asked.address(),
        "total_words": _total_words(question, found),
        "files": FILES,
        "further": asked.address(after=found.rows[-1].pk) if found.is_more else "",
        "saved": SavedFilter.objects.for_firm(asked.firm).filter(question=key),
        "left": left,
    }
    return render(request, "reports/audit_question.html", context)


@require_safe
def audit_file(request, key, ext):
    """The whole answer as CSV, workbook or PDF."""
    question, asked, left = _read(request, key)
    size = question.rows(question.found(asked), asked).count()
    if problem := _why_no_file(ext, left, size):
        messages.warning(request, problem)
        return redirect(f"{reverse('audit_question', args=[key])}?{asked.address()}")
    response = _WRITERS[ext](question, asked, size)
    name = f"{slugify(asked.firm.name)}-{key}-{asked.day:%Y-%m-%d}.{ext}"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _why_no_file(ext, left, size) -> str:
    from reports.audit.export import PDF_ROWS

    if left:
        return f"{left} installations are not worked out yet. Open the page again before taking the file."
    if ext == "pdf" and size > PDF_ROWS:
        return (
            f"A PDF holds up to {PDF_ROWS:,} rows, and this answer has {size:,}. Choose fewer, or take the "
            "workbook or CSV."
        )
    return ""


@require_POST
def audit_save(request, key):
    """Keep the choices under a name."""
    question, asked, _ = _read(request, key, of=request.POST.get("choices", ""))
    row = SavedFilter(
        firm=asked.firm,
        question=key,
        name=request.POST.get("name", "").strip(),
        choices=asked.address(),
        saved_by=request.user,
    )
    try:
        save_record(row, member=request.user, reason=f"Saved for “{question.title}”")
    except ValidationError as error:
        for problem in error.messages:
            messages.error(request, problem)
    else:
        say_with_undo(request, f"Saved as “{row.name}”. All of the firm can open it.")
    return redirect(f"{reverse('audit_question', args=[key])}?{asked.address()}")


@require_POST
def audit_forget(request, pk):
    """Remove a saved filter; its history stays."""
    row = fetch(request, SavedFilter.objects, pk)
    delete_record(row, member=request.user)
    say_with_undo(request, f"“{row.name}” is removed.")
    return redirect("audit")


@require_POST
def audit_reminders(request):
    """Turn one's own reminders by mail on or off."""
    wanted = request.POST.get("wanted") == "yes"
    want_reminders(member=request.user, wanted=wanted)
    messages.success(request, f"Reminders by e-mail are {'on' if wanted else 'off'}.")
    return redirect("today")


def _read(request, key, of=None) -> tuple[Question, Asked, int]:
    if key not in QUESTIONS:
        raise Http404("The audit has no such question.")
    firm, day = firm_of(request), timezone.localdate()
    given = request.GET if of is None else QueryDict(of)
    question = QUESTIONS[key]
    return question, _asked(question, given, firm, day), bring_up_to_date(firm, day)


def _asked(question, given, firm, day) -> Asked:
    return read_address(
        given,
        firm=firm,
        day=day,
        facets=question.facets,
        numbers=question.numbers,
        orders=tuple(question.orders),
    )


def _total_words(question, found):
    """``12 installations with 40 loads``."""
    loads = f"{found.total:,} {question.one if found.total == 1 else question.several}"
    if found.places is None:
        return loads
    return f"{found.places:,} {'installation' if found.places == 1 else 'installations'} with {loads}"


def _clients(asked):
    """Clients to choose from: all where they can be listed, else the one chosen."""
    clients = list(Client.objects.for_firm(asked.firm).order_by("name")[: MOST_CLIENTS_LISTED + 1])
    if len(clients) > MOST_CLIENTS_LISTED:
        return list(Client.objects.for_firm(asked.firm).filter(pk=asked.client))
    return clients


@dataclass(frozen=True)
class Shown:
    """A cell on the page."""

    heading: str
    value: object
    link: Link | None
    attention: bool
    is_number: bool

    @property
    def is_date(self) -> bool:
        return isinstance(self.value, date)

    @property
    def is_figure(self) -> bool:
        """A number with its unit, such as ``1.09 Ω`` or ``for 4.6 years``, that reads badly on two lines."""
        return len(str(self.value)) <= MOST_OF_A_FIGURE and any(map(str.isdigit, str(self.value)))


def _line(question, row, asked) -> list[Shown]:
    return [
        Shown(
            column.heading,
            column.value(row, asked),
            column.link(row) if column.link else None,
            bool(column.attention and column.attention(row, asked)),
            column.is_number,
        )
        for column in question.columns
    ]


def _csv(question, asked, size):
    from reports.audit import export
    from reports.sheets.csv_text import csv_lines

    document = export.document(question, asked, size)
    [sheet] = document.sheets
    return StreamingHttpResponse(csv_lines(sheet, document.notice), content_type=CSV)


def _xlsx(question, asked, size):
    from reports.audit import export
    from reports.write import write
    from reports.xlsx.long import write_long_xlsx

    document = export.document(question, asked, size)
    if size <= export.IN_ONE_PIECE:
        return HttpResponse(write(document, "xlsx"), content_type=XLSX)
    file = TemporaryFile()  # noqa: SIM115 - the response closes it
    write_long_xlsx(document, file)
    file.seek(0)
    return FileResponse(file, content_type=XLSX)


def _pdf(question, asked, size):
    from reports.audit import export
    from reports.write import write

    return HttpResponse(write(export.document(question, asked, size), "pdf"), content_type=PDF)


_WRITERS = {"csv": _csv, "xlsx": _xlsx, "pdf": _pdf}
