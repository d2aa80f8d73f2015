"""Work out the words that the search reads, of every place and client that changed: after an import."""

from django.core.management.base import BaseCommand
from django.db import connection

from inspections.models import Firm
from reports.search.work_out import bring_up_to_date, forget_everything


class Command(BaseCommand):
    help = "Bring the search up to date with the record. --all: from nothing."

    def add_arguments(self, parser):
        parser.add_argument("--all", action="store_true", help="every place and client, changed or not")

    def handle(self, *args, **options):
        for firm in Firm.objects.order_by("pk"):
            if options["all"]:
                forget_everything(firm)
            left = 1
            while left:
                left = bring_up_to_date(firm, limit=2000)
                self.stdout.write(f"{firm}: {left} places and clients left to search")
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")  # the database then knows which of its indexes are worth using
