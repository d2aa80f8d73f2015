"""What watches over the site is told whether it can serve, and nothing else."""

import pytest
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.test import Client as Browser


def asked():
    response = Browser().get("/healthz")
    assert "no-store" in response["Cache-Control"]
    return response.status_code, response.json()


@pytest.mark.django_db
def test_it_serves_while_the_database_answers_and_every_migration_is_applied():
    assert asked() == (200, {"database": "answers", "migrations": "applied"})


@pytest.mark.django_db
def test_it_does_not_serve_while_a_migration_waits():
    MigrationRecorder(connection).record_unapplied("sessions", "0001_initial")
    assert asked() == (503, {"database": "answers", "migrations": "waiting"})


@pytest.mark.django_db
def test_it_does_not_serve_while_the_database_is_gone_and_does_not_say_where_it_was(monkeypatch):
    def gone(self):
        raise OperationalError("connection to server at 192.0.2.7 failed")

    monkeypatch.setattr(MigrationRecorder, "applied_migrations", gone)
    assert asked() == (503, {"database": "does not answer"})
