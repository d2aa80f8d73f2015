"""The worker of runs: the site starts it, and it may be started by hand."""

from django.core.management.base import BaseCommand

from reports.runs.tables import Run
from reports.runs.work import RunTaken, work_off


class Command(BaseCommand):
    help = (
        "Work off every run over many reports that is under way and that no living worker is at, then end. "
        "The site starts this by itself; start it again after a machine went down, or press Go on."
    )

    def handle(self, *args, **options):
        while run := Run.objects.free().order_by("pk").first():
            try:
                for item in work_off(run):
                    self.stdout.write(f"{item}: {item.get_outcome_display()}")
            except RunTaken:
                continue
