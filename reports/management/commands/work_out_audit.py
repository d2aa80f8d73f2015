"""Work out the audit's rows of every place that changed: after an import, or a new version of the rules."""

from django.core.management.base import BaseCommand
from django.db import connection
from django.utils import timezone

from inspections.models import Firm
from reports.audit.work_out import bring_up_to_date, mark_everything


class Command(BaseCommand):
    help = "Work out the audit of every place whose record changed. --all: of every place."

    def add_arguments(self, parser):
        parser.add_argument("--all", action="store_true", help="every place, changed or not")

    def handle(self, *args, **options):
        for firm in Firm.objects.order_by("pk"):
            if options["all"]:
                mark_everything(firm)
            left = 1
            while left:
                left = bring_up_to_date(firm, timezone.localdate(), limit=1000)
                self.stdout.write(f"{firm}: {left} places left")
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")  # the database then knows which of its indexes are worth using
