"""Make an invented firm of any size, to measure on."""

from time import perf_counter

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from inspections.models import Firm
from reports.invented_firm import PASSWORD, InventedFirm


class Command(BaseCommand):
    help = (
        "Make a firm of invented places, circuits, visits and loads, to measure on. The same size and seed "
        "give the same record. Of its history, that of the loads alone is written."
    )

    def add_arguments(self, parser):
        parser.add_argument("--circuits", type=int, required=True, help="how many circuits, at least")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--no-audit", action="store_true", help="work out neither audit nor search")

    def handle(self, *args, circuits, seed, no_audit, **options):
        if circuits < 1:
            raise CommandError("Give at least one circuit: --circuits 1000.")
        name = f"Invented firm {seed}"
        if Firm.objects.filter(name=name).exists():
            raise CommandError(f"{name} already exists. Give another --seed, or another database.")
        start = perf_counter()
        firm = InventedFirm(name, seed)
        for made in firm.make(circuits):
            seconds = perf_counter() - start
            self.stdout.write(f"{made:,} circuits after {seconds:.0f} s", ending="\r")
            self.stdout.flush()
        self.stdout.write(f"{name}: {made:,} circuits in {perf_counter() - start:.0f} s")
        self.stdout.write(f"Sign in as {firm.office.email}, password {PASSWORD}.")
        if not no_audit:
            for command in ("work_out_search", "work_out_audit"):
                start = perf_counter()
                call_command(command, stdout=self.stdout)
                self.stdout.write(f"{command} took {perf_counter() - start:.0f} s.")
