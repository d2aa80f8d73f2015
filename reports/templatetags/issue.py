"""What became of a visit's report, for its page: ``{% issue_state inspection %}``; and days of a record's
content in words: ``{{ content.next_due.on|day }}``."""

from datetime import date

from django import template

from inspections.enums import InspectionStatus
from reports.intake.uploads import content_as_kept
from reports.models import Correction, IssuedRecord, RecordUpload, Review
from reports.services.roles import may_issue

register = template.Library()


@register.inclusion_tag("reports/_issue_state.html", takes_context=True)
def issue_state(context, inspection):
    """Where the report stands, and what may be done with it next. Three queries."""
    records = list(IssuedRecord.objects.filter(inspection=inspection).defer("content"))
    review = Review.objects.filter(inspection=inspection).select_related("sent_by", "closed_by").first()
    return {
        "inspection": inspection,
        "review": review,
        "records": records,
        "brought_in": None if records else _brought_in(inspection),
        "correction": Correction.objects.waiting_at(inspection),
        "may_issue": may_issue(context["request"].user),
        "may": context["may"],
        "is_next": not context.get("next_step"),
    }


def _brought_in(inspection):
    """Whose report an issued visit came from, with the instruments it names; None where it came from none."""
    if inspection.status != InspectionStatus.ISSUED:
        return None
    upload = RecordUpload.objects.filter(inspection=inspection).defer("pdf").first()
    return upload and {"upload": upload, "instruments": content_as_kept(upload)["instruments"]}


@register.filter
def day(text):
    """``2026-11-17`` as ``17 Nov 2026``; a dash for none."""
    return f"{date.fromisoformat(text):%-d %b %Y}" if text else "—"
