"""Everything in review that nothing stands in the way of, issued in one go."""

from django.core.exceptions import PermissionDenied, ValidationError
from django.core.management.base import BaseCommand, CommandError

from inspections.models import Member
from reports.runs.tables import RunOutcome
from reports.runs.work import work_off
from reports.services.runs import begin_issue, in_review


class Command(BaseCommand):
    help = (
        "Issue every visit of a firm that is in review and that nothing stands in the way of, in the order "
        "of the visits, and draw their reports. It may be stopped at any moment and gone on with on the page "
        "of the run, or with work_runs."
    )

    def add_arguments(self, parser):
        parser.add_argument("--by", required=True, help="e-mail address of the supervisor who issues them")

    def handle(self, *args, by, **options):
        member = Member.objects.filter(email=by.lower(), is_active=True).first()
        if member is None:
            raise CommandError(f"Nobody signs in as {by}.")
        try:
            run = begin_issue(inspections=in_review(member), member=member)
        except (ValidationError, PermissionDenied) as error:
            raise CommandError("; ".join(getattr(error, "messages", [str(error)]))) from error
        left_out = 0
        for number, item in enumerate(work_off(run), start=1):
            became = item.record if item.outcome == RunOutcome.DONE else "; ".join(item.said.splitlines())
            self.stdout.write(f"{number}/{run.items.count()} {item.inspection.installation}: {became}")
            left_out += item.outcome == RunOutcome.LEFT_OUT
        if left_out:
            raise CommandError(f"{left_out} could not be issued; each is named above.")
