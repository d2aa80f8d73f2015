"""Every issued record to a folder."""

from collections import Counter
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from inspections.models import Firm
from reports.bulk_export import DrawnAgain, FolderInUse, draw_again, export, held, records_of


class Command(BaseCommand):
    help = (
        "Write the PDF and the content (JSON) of every issued record to a folder, one folder a firm. It may "
        "be stopped at any moment; run again, it carries on from there. --remake then draws each again and "
        "says which differ from the PDF that was kept."
    )

    def add_arguments(self, parser):
        parser.add_argument("--to", type=Path, required=True, help="the folder; made where it is not there")
        parser.add_argument("--firm", help="the records of this firm alone, by its name")
        parser.add_argument("--remake", action="store_true", help="draw each again, and compare")

    def handle(self, *args, to, firm, remake, **options):
        firms = _firms(firm)
        try:
            with held(to):
                wrong = self._told(export(to, firms), firms)
                if remake:
                    wrong += self._told(draw_again(to, firms, DrawnAgain(to)), firms)
        except KeyboardInterrupt:
            raise CommandError("Stopped. Run it again: it carries on from there.", returncode=130) from None
        except FolderInUse as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            raise CommandError(
                f"{error}. Put that right and run it again: it carries on from there."
            ) from error
        if wrong:
            raise CommandError("\n".join(map(str, wrong)))

    def _told(self, steps, firms):
        """A line a record as it is done, then how many of each; those that went wrong."""
        total, counts, wrong = records_of(firms).count(), Counter(), []
        for number, step in enumerate(steps, start=1):
            self.stdout.write(f"{number}/{total} {step}")
            self.stdout.flush()
            counts[step.said] += 1
            wrong += [step] if step.is_wrong else []
        self.stdout.write(", ".join(f"{count} {said}" for said, count in counts.items()) or "No records.")
        return wrong


def _firms(name: str | None) -> list[Firm]:
    firms = list(Firm.objects.order_by("name"))
    chosen = [firm for firm in firms if name in (None, firm.name)]
    if name and not chosen:
        raise CommandError(f"No firm is called {name}. There are: {', '.join(map(str, firms)) or 'none'}.")
    return chosen
