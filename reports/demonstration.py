"""The Larkfield demonstration, step by step: the firm and its places, a visit under way whose spreadsheet is
read in, and a report issued. ``make demo`` tells of each step; a sample firm is the same."""

from datetime import date

from django.conf import settings
from django.db import transaction

from fixtures.larkfield.load import load_visit_to_issue
from inspections.enums import InspectionKind, Role
from inspections.models import Firm, Inspection, Installation, Upload
from inspections.services.intake_commit import commit_intake
from inspections.services.intake_plan import IntakePlan, plan_intake, read_upload
from inspections.services.record import save_record
from inspections.services.visits import start_inspection
from reports.examination import Examination
from reports.models import IssuedRecord
from reports.points import points_of
from reports.services.issue import issue_inspection
from reports.services.review import answer_points, send_for_review

PLACE = "Larkfield Mill"
WORKBOOK = settings.BASE_DIR / "fixtures" / "larkfield" / "larkfield-mill-visit.xlsx"
VISIT_ON = date(2026, 11, 17)
_INSTRUMENT_GROUPS = ["A", "B"]


@transaction.atomic
def begin_visit(firm: Firm) -> Inspection:
    """The visit to the mill, which stays a draft."""
    inspector = firm.members.get(role=Role.INSPECTOR)
    visit = start_inspection(
        installation=Installation.objects.for_firm(firm).get(name=PLACE),
        kind=InspectionKind.PERIODIC,
        started_on=VISIT_ON,
        inspector=inspector,
        member=inspector,
        reason="Due by interval",
    )
    visit.instruments.set(firm.instruments.filter(group__in=_INSTRUMENT_GROUPS))
    return visit


@transaction.atomic
def bring_in_workbook(visit: Inspection) -> IntakePlan:
    """The spreadsheet of the visit, read and brought in. What was found in it."""
    member = visit.inspector
    upload = save_record(
        Upload(inspection=visit, name=WORKBOOK.name, content=WORKBOOK.read_bytes(), sent_by=member),
        member=member,
    )
    plan = plan_intake(read_upload(upload), visit, {})
    commit_intake(upload=upload, digest=plan.digest, member=member)
    visit.refresh_from_db()
    return plan


@transaction.atomic
def issue_a_report(firm: Firm) -> IssuedRecord:
    """Another visit, reviewed and issued."""
    supervisor = firm.members.get(role=Role.SUPERVISOR)
    visit, answer = load_visit_to_issue(firm)
    send_for_review(inspection=visit, member=visit.inspector)
    open_points = (point.key for point in points_of(Examination(visit)) if point.is_open)
    answer_points(inspection=visit, answers=dict.fromkeys(open_points, answer), member=supervisor)
    return issue_inspection(inspection=visit, member=supervisor)
