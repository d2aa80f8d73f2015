"""Where a copy of the database is named, the audit is read from it; not by whoever just changed something."""

import json
import os
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import RequestFactory

from config.routers import AUDIT, REPLICA, WROTE, AuditFromReplica, ReplicaMiddleware
from inspections.models import Client
from reports.audit.tables import AuditMark, Due, DueAudit, LoadAudit, PlaceAudit, SavedFilter
from tests.databases import url_for_another_process
from tests.factories import InstallationFactory, MemberFactory

ROOT = Path(__file__).parents[2]
ROUTER = AuditFromReplica()


def read_from(model, request, meanwhile=lambda: None):
    """Where ``model`` is read in the midst of ``request``, and the answer."""
    found = []

    def view(_):
        meanwhile()
        found.append(ROUTER.db_for_read(model))
        return HttpResponse()

    response = ReplicaMiddleware(view)(request)
    return found[0], response


@pytest.mark.parametrize("model", [PlaceAudit, LoadAudit, DueAudit])
def test_a_page_that_only_looks_reads_the_audit_from_the_copy(model):
    where, response = read_from(model, RequestFactory().get("/audit/"))
    assert where == REPLICA
    assert WROTE not in response.cookies


@pytest.mark.parametrize("model", [AuditMark, SavedFilter, Client])
def test_the_record_and_the_marks_of_what_changed_are_read_from_the_database_itself(model):
    assert read_from(model, RequestFactory().get("/audit/"))[0] == "default"


def test_whoever_posted_reads_the_database_itself_until_the_copy_has_followed():
    where, response = read_from(LoadAudit, RequestFactory().post("/loads/"))
    assert where == "default"
    cookie = response.cookies[WROTE]
    assert (cookie["max-age"], cookie["httponly"]) == (60, True)
    after = RequestFactory().get("/audit/")
    after.COOKIES[WROTE] = "1"
    assert read_from(LoadAudit, after)[0] == "default"


def test_a_page_that_worked_the_audit_out_reads_what_it_wrote():
    where, response = read_from(
        LoadAudit, RequestFactory().get("/audit/"), meanwhile=lambda: ROUTER.db_for_write(LoadAudit)
    )
    assert where == "default"
    assert WROTE in response.cookies


def test_the_tables_named_are_all_that_the_audit_works_out():
    assert {model._meta.model_name for model in PlaceAudit.__base__.__subclasses__()} == AUDIT


LOOK = """
import json, sys, django; django.setup()
from django.test import Client
from inspections.models import Member
browser = Client(HTTP_HOST="localhost")
browser.force_login(Member.objects.get(email=sys.argv[1]))
before = browser.get("/audit/falling-due/").text
browser.post("/look/", {"look": "dark"})
print(json.dumps([before, browser.get("/audit/falling-due/").text]))
"""


@pytest.mark.skipif(connection.vendor != "sqlite", reason="a second database is a second file of SQLite")
@pytest.mark.django_db(transaction=True)
def test_with_two_databases_the_page_shows_the_copy_and_after_a_change_the_database(tmp_path):
    """The copy is held back, as one that lags is: the place that is due has its former name there."""
    place = InstallationFactory()
    member = MemberFactory(firm=place.client.firm)
    DueAudit.objects.create(
        firm=member.firm, client=place.client, installation=place, place="Former name",
        what=Due.INSPECTION, on=date(2026, 1, 1), subject="Inspection", target=place.pk,
    )  # fmt: skip
    AuditMark.objects.all().delete()
    replica = url_for_another_process(tmp_path / "replica.sqlite3")
    DueAudit.objects.update(place="Present name")
    environment = os.environ | {
        "DJANGO_SETTINGS_MODULE": "config.settings",
        "DEBUG": "on",
        "DATABASE_URL": url_for_another_process(tmp_path / "itself.sqlite3"),
        "REPLICA_URL": replica,
    }

    run = subprocess.run(
        [sys.executable, "-c", LOOK, member.email],
        cwd=ROOT, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert run.returncode == 0, run.stderr
    before, after = json.loads(run.stdout)
    assert "Former name" in before
    assert "Present name" in after
    assert "Former name" not in after
