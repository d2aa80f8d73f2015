"""Before an issue: what stands in the way, what the reviewer sees and answers, and on to the next state."""

from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from inspections.access import fetch
from inspections.columns import VISUAL
from inspections.enums import InspectionStatus
from inspections.models import Inspection
from inspections.rules import edition as editions
from inspections.rules.finding import Severity
from inspections.rules.readings import State
from inspections.selectors import outcome_of
from inspections.views.undo import say_with_undo
from reports.blocks import OF_POINTS, blocks_of
from reports.content.said import where
from reports.examination import Examination
from reports.models import Correction
from reports.points import Point, points_of
from reports.services.issue import IssueBlocked, issue_inspection
from reports.services.pdf import draw_pdf
from reports.services.review import answer_points, return_with_remarks, send_for_review
from reports.services.roles import may_issue
from reports.signature import read_signature

WITH_PLACE = ("installation__client__firm", "inspector", "based_on")
ANSWER = "answer:"  # before the key of a point, the name of its field


@dataclass(frozen=True)
class Typed:
    """What was typed on the page; it comes back when something is refused."""

    note: str = ""
    remarks: str = ""
    what_changed: str = ""
    signature: str = ""
    answers: dict[str, str] | None = None

    @classmethod
    def of(cls, post) -> "Typed":
        answers = {name.removeprefix(ANSWER): post[name] for name in post if name.startswith(ANSWER)}
        return cls(
            *(post.get(name, "") for name in ("note", "remarks", "what_changed", "signature")),
            {key: text for key, text in answers.items() if text.strip()},
        )


@require_http_methods(["GET", "POST"])
def review(request, pk):
    """The page of a report before it is issued. ``do`` says what is wanted of it; whatever that is, answers
    typed are kept first."""
    inspection = fetch(request, Inspection.objects.select_related(*WITH_PLACE), pk)
    typed, problems = Typed(), []
    if request.method == "POST":
        typed = Typed.of(request.POST)
        try:
            return _DO[request.POST.get("do", "answer")](request, inspection, typed)
        except KeyError:
            problems = ["Choose what to do with it."]
        except IssueBlocked as blocked:
            problems = [blocked.summary]
        except ValidationError as error:
            problems = error.messages
            inspection.refresh_from_db()
    if inspection.status == InspectionStatus.ISSUED:
        for problem in problems:
            messages.warning(request, problem)
        return redirect("inspection", pk)
    return render(request, "reports/review.html", _context(request, inspection, typed, problems))


def _send(request, inspection, typed):
    send_for_review(
        inspection=inspection,
        member=request.user,
        note=typed.note,
        signature=read_signature(typed.signature),
    )
    say_with_undo(request, "Sent for review. Its record no longer changes unless it is returned.")
    return redirect("inspection", inspection.pk)


def _answer(request, inspection, typed):
    saved = answer_points(inspection=inspection, answers=typed.answers, member=request.user)
    count = len(saved)
    say_with_undo(request, f"{count} answer{'' if count == 1 else 's'} saved.")
    return redirect("review", inspection.pk)


def _return(request, inspection, typed):
    answer_points(inspection=inspection, answers=typed.answers, member=request.user)
    return_with_remarks(inspection=inspection, remarks=typed.remarks, member=request.user)
    say_with_undo(request, "Returned: it is a draft again, with your remarks.")
    return redirect("inspection", inspection.pk)


def _issue(request, inspection, typed):
    signature = read_signature(typed.signature)
    answer_points(inspection=inspection, answers=typed.answers, member=request.user)
    record = issue_inspection(
        inspection=inspection, member=request.user, what_changed=typed.what_changed, signature=signature
    )
    draw_pdf(record)
    messages.success(request, f"Issued as {record}.")
    return redirect("record", record.pk)


_DO = {"send": _send, "answer": _answer, "return": _return, "issue": _issue}


def _context(request, inspection, typed, problems):
    seen = Examination(inspection)
    blocks, points = blocks_of(seen), points_of(seen)
    return {
        "inspection": inspection,
        "edition": editions.load(inspection.edition),
        "outcome": outcome_of(inspection),
        "typed": typed,
        "problems": problems,
        "may_answer": may_issue(request.user) and inspection.status == InspectionStatus.IN_REVIEW,
        "may_issue": may_issue(request.user),
        "blocked": bool(blocks),
        "blocks": _grouped([block for block in blocks if block.subject != OF_POINTS], attrgetter("subject")),
        "open_points": sum(point.is_open for point in points),
        "points": _grouped([(point, _text(point, typed)) for point in points], lambda row: row[0].about),
        "rest": _rest(seen, points),
        "not_tested": list(_not_tested(seen)),
        "changes": _grouped(seen.changes, attrgetter("where")),
        "reviews": inspection.reviews.select_related("sent_by", "closed_by"),
        "correction": Correction.objects.waiting_at(inspection),
    }


def _text(point: Point, typed: Typed) -> str:
    """What stands in the field of a point."""
    return (typed.answers or {}).get(point.key) or (point.answer.text if point.answer else "")


def _rest(seen, points):
    """The other findings, worst first, those that stand for something still to be entered left out."""
    asked = {id(point.finding) for point in points if point.finding}
    return [
        item
        for item in seen.located
        if id(item.finding) not in asked and item.finding.severity is not Severity.INCOMPLETE
    ]


def _not_tested(seen):
    """Each limitation: where, which tests, since when, and how many readings say LIM because of it."""
    for row in seen.limitations:
        since, visits = seen.standing.of(row)
        lims = sum(
            getattr(result, name).state is State.LIM
            for result in seen.results_under(row)
            for name in row.tests
            if name != VISUAL
        )
        yield {"limitation": row, "where": where(row), "lims": lims, "since": since, "visits": visits}


def _grouped(rows, by):
    """Rows that follow one another under what ``by`` says of each."""
    return [(subject, list(found)) for subject, found in groupby(rows, key=by)]
