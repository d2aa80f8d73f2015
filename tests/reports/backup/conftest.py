"""A record with an issued report in it, photographs, and an installation emptied again."""

import pytest
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.test import Client as Browser

from reports.services.pdf import draw_pdf
from tests.factories import ObservationFactory, ParallelLoadFactory
from tests.reports.ready import issued

PHOTOGRAPH = b"\xff\xd8 as taken"


def contents():
    """Every row of every table but that of who is signed in."""
    return {
        model._meta.label: sorted(map(repr, map(_plain, model._base_manager.values_list())))
        for model in apps.get_models(include_auto_created=True)
        if model is not Session
    }


def _plain(row):
    return [bytes(value) if isinstance(value, memoryview) else value for value in row]


@pytest.fixture
def photographs(kept_files):
    default_storage.save("observations/1/photo.jpg", ContentFile(PHOTOGRAPH))
    return kept_files


@pytest.fixture
def record(db, kept_files):
    """A record with an issued report and its PDF in it, which the database keeps from being changed."""
    record = draw_pdf(issued())
    ParallelLoadFactory()
    ObservationFactory()
    Browser().force_login(record.issued_by)
    return record


def empty():
    call_command("flush", interactive=False, verbosity=0)
