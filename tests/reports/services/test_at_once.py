"""Two issuing at once: no number is given twice, none is left out, and the chain never forks."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

from inspections.enums import InspectionStatus
from inspections.models import Inspection
from tests.reports.ready import supervisor_of
from tests.reports.services import issuing

ROOT = Path(__file__).parents[3]
EXPECTED = list(range(1, issuing.AT_ONCE + 1))


def test_numbers_have_no_gap_and_no_repeat_in_a_file_of_sqlite(laid_out_sqlite, tmp_path):
    # The database of the tests lies in memory, where threads share one connection; this one is a file.
    path = shutil.copy(laid_out_sqlite, tmp_path)
    environment = os.environ | {"DATABASE_URL": f"sqlite:///{path}"}
    run = subprocess.run(
        [sys.executable, "-m", "tests.reports.services.issuing"],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert json.loads(run.stdout) == {"errors": [], "numbers": EXPECTED, "chain_holds": True}


@pytest.mark.skipif(connection.vendor != "postgresql", reason="asks for a PostgreSQL server")
@pytest.mark.django_db(transaction=True)
def test_numbers_have_no_gap_and_no_repeat_on_postgresql():
    assert issuing.issue_at_once(issuing.visits_in_review()) == []
    assert issuing.numbers() == EXPECTED
    assert issuing.chain_holds()


@pytest.mark.skipif(connection.vendor != "postgresql", reason="asks for a PostgreSQL server")
@pytest.mark.django_db(transaction=True)
def test_two_issuing_one_visit_give_one_record():
    (visit, member), *_ = issuing.visits_in_review()

    errors = issuing.issue_at_once([(visit, member)] * 3)

    inspection = Inspection.objects.get(pk=visit)
    assert inspection.status == InspectionStatus.ISSUED
    assert inspection.issued_records.get().issued_by == supervisor_of(inspection)
    assert len(errors) == 2
    assert all("issued" in error for error in errors)
