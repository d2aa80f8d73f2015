"""Whether every issued record still is what was issued."""

from django.core.management.base import BaseCommand, CommandError

from inspections.models import Firm
from reports.verify import lost_pdfs, verify_chain


class Command(BaseCommand):
    help = (
        "Walk each firm’s chain of issued records and name the first that does not hold, and every PDF lost."
    )

    def handle(self, *args, **options):
        broken = []
        for firm in Firm.objects.order_by("name"):
            chain = verify_chain(firm)
            failures = [*([chain] if chain else []), *lost_pdfs(firm)]
            for failure in failures:
                which = f"{failure.record} does not hold: " if failure.record else ""
                broken.append(f"{firm}: {which}{failure.reason}.")
            if not failures:
                count = firm.issued_records.count()
                self.stdout.write(f"{firm}: {count} record{'' if count == 1 else 's'}, all hold.")
        if broken:
            raise CommandError("\n".join(broken))
