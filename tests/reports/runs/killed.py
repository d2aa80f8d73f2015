"""Run by itself with ``begin``, it begins a run in an empty database; with ``go on``, it takes its worker for
dead, works off what is left, and prints what became of it."""

import json
import os
import sys
from datetime import timedelta

COUNT = 6


def begin() -> None:
    from reports.services.runs import begin_issue
    from tests.factories import ClientFactory, InstallationFactory
    from tests.reports.ready import in_review, ready_visit, supervisor_of

    client = ClientFactory()
    visits = [in_review(ready_visit(InstallationFactory(client=client))) for _ in range(COUNT)]
    begin_issue(inspections=visits, member=supervisor_of(visits[0]))


def go_on() -> None:
    from django.utils import timezone

    from reports.models import IssuedRecord, Run
    from reports.runs.tables import SILENCE
    from reports.verify import lost_pdfs, verify_chain

    Run.objects.update(beat_at=timezone.now() - SILENCE - timedelta(seconds=1))
    with open(os.devnull, "w") as nowhere:
        call_command("work_runs", stdout=nowhere)
    run, records = Run.objects.get(), IssuedRecord.objects.order_by("pk")
    told = {
        "numbers": list(records.values_list("number", flat=True)),
        "drawn": records.exclude(pdf_sha256="").count(),
        "state": run.state,
        "lost": len(list(lost_pdfs(run.firm))),
        "chain_holds": verify_chain(run.firm) is None,
    }
    print(json.dumps(told))


if __name__ == "__main__":
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    import django
    from django.core.management import call_command

    django.setup()
    {"begin": begin, "go on": go_on}[sys.argv[1]]()
