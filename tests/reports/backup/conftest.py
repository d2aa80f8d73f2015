"""A record with an issued report in it, photographs, and an installation emptied again."""

import pytest
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.test import Client as Browser

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
def photographs(settings, tmp_path):
    settings.STORAGES = settings.STORAGES | {
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": tmp_path / "media"},
        }
    }
    default_storage.save("observations/1/photo.jpg", ContentFile(PHOTOGRAPH))
    return tmp_path / "media"


@pytest.fixture
def record(db):
    """A record with an issued report in it, which the database keeps from being changed."""
    record = issued()
    ParallelLoadFactory()
    ObservationFactory()
    Browser().force_login(record.issued_by)
    return record


def empty():
    call_command("flush", interactive=False, verbosity=0)
