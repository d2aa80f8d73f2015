"""The Larkfield demonstration: a firm and its places, a visit's spreadsheet read in, checked and set out."""

from collections import Counter
from pathlib import Path
from time import perf_counter

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from fixtures.larkfield.load import load_scenario
from inspections.models import Firm, Installation
from inspections.rules import edition as editions
from inspections.rules.finding import Severity
from inspections.selectors import findings_of
from remedies.explained import explanations_of
from reports.content import content_of
from reports.demonstration import WORKBOOK, begin_visit, bring_in_workbook, issue_a_report
from reports.schedules import DOCUMENTS
from reports.services.pdf import draw_pdf
from reports.write import WRITERS, write

FIRM = "Tidewell Electrical"
PASSWORD = "larkfield-demo"
OUTPUT = Path("demo-output")
_SAID = (Severity.OUT_OF_LIMIT, Severity.DISAGREES)


class Command(BaseCommand):
    help = (
        "Load the Larkfield scenario, read a visit’s spreadsheet into it, check it, write its schedules "
        "and serve the site."
    )

    def add_arguments(self, parser):
        parser.add_argument("--no-server", action="store_true", help="do all but serve the site")
        parser.add_argument("--output", type=Path, default=OUTPUT, help="folder of the files written")
        parser.add_argument("--port", default="8000", help="port the site is served on")

    def handle(self, *args, no_server, output, port, **options):
        call_command("migrate", verbosity=0)
        self._start_clean()
        firm = load_scenario(password=PASSWORD)
        inspection = begin_visit(firm)
        self._say(f"{firm}: {_many(Installation.objects.for_firm(firm).count(), 'installation')} loaded.")
        self._read_workbook(inspection)
        self._tell_findings(inspection)
        self._write_files(inspection, output)
        record = draw_pdf(issue_a_report(firm))
        self._say(f"\nIssued: {record}, {record.inspection.installation}.")
        self._say("")
        for member in firm.members.order_by("role"):
            self._say(f"  sign in as {member.email} ({member.get_role_display().lower()})")
        self._say(f"  password for each: {PASSWORD}")
        if not no_server:
            self._say(f"\nThe site is at http://localhost:{port}/ – stop it with Ctrl-C.")
            call_command("runserver", f"localhost:{port}", use_reloader=False)

    def _say(self, text):
        self.stdout.write(text)

    def _start_clean(self):
        others = Firm.objects.exclude(name=FIRM).exclude(sample_of__firm__name=FIRM)
        if others.exists():
            raise CommandError(
                f"This database holds {others.first()}, which is no demonstration. "
                "Set DATABASE_URL to another database, or move db.sqlite3 aside, and run the demo again."
            )
        if Firm.objects.exists():
            call_command("flush", interactive=False, verbosity=0)
            self._say("The demonstration of an earlier run was cleared.")

    def _read_workbook(self, inspection):
        start = perf_counter()
        plan = bring_in_workbook(inspection)
        boards = {circuit.board for circuit in plan.circuits.values()}
        loads = sum(len(other.lines) for other in plan.others.values())
        self._say(
            f"\nRead {WORKBOOK.name} in {perf_counter() - start:.1f} s: "
            f"{_many(len(boards), 'board')}, {_many(len(plan.circuits), 'circuit')} "
            f"({len(plan.new_circuits)} new), {_many(len(plan.limitations), 'limitation')}, "
            f"{_many(loads, 'entry', 'entries')} for the load register."
        )
        for problem in plan.problems:
            self._say(f"  left out: {problem}")

    def _tell_findings(self, inspection):
        located = findings_of(inspection)
        explained = {one.circuit.pk: one for one in explanations_of(inspection)}
        self._say(f"\nWhat the checks found, held to {editions.load(inspection.edition)}:")
        for item in located:
            if item.finding.severity in _SAID:
                self._say(f"  {item.circuit or item.board or 'The visit'}: {item.finding.summary}")
                if item.finding.column == "ir_live_live" and item.circuit and item.circuit.pk in explained:
                    self._say(f"    {explained[item.circuit.pk].summary}")
        for item in located:
            if item.finding.severity is Severity.INCOMPLETE:
                self._say(f"  {item.circuit or item.board or 'The visit'}: {item.finding.summary}")
        counts = Counter(item.finding.severity for item in located)
        self._say(
            "  In all: " + ", ".join(f"{counts[severity]} {severity.value}" for severity in Severity) + "."
        )

    def _write_files(self, inspection, output):
        output.mkdir(parents=True, exist_ok=True)
        content = content_of(inspection)
        self._say("\nWritten:")
        for kind, document_of in DOCUMENTS.items():
            document = document_of(content)
            for ext in WRITERS:
                path = output / f"{kind}.{ext}"
                path.write_bytes(write(document, ext))
                self._say(f"  {path}")


def _many(count, one, several=""):
    return f"{count} {one if count == 1 else several or one + 's'}"
