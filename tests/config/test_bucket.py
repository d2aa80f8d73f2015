"""Photographs in a bucket, where one is named: kept, shown to their firm alone, backed up and restored."""

import io
import json

import boto3
import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.test import Client as Browser
from django.urls import reverse
from moto.server import ThreadedMotoServer

from inspections.models import Firm
from reports.backup.archive import read_backup, write_backup
from tests.config.test_web import manage
from tests.factories import MemberFactory, ObservationFactory
from tests.reports.backup.conftest import empty

BUCKET, PHOTOGRAPH = "photographs", b"\xff\xd8 as taken"
REGION, KEY, SECRET = "eu-west-2", "key", "secret"
WITH_BUCKET = {"S3_BUCKET": BUCKET, "S3_REGION": REGION, "S3_ACCESS_KEY": KEY, "S3_SECRET_KEY": SECRET}


@pytest.fixture
def bucket(settings):
    """An empty bucket on this machine, set as the site's settings set it."""
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0)
    server.start()
    host, port = server.get_host_and_port()
    endpoint = f"http://{host}:{port}"
    keys = {"aws_access_key_id": KEY, "aws_secret_access_key": SECRET, "region_name": REGION}
    bucket = boto3.resource("s3", endpoint_url=endpoint, **keys).Bucket(BUCKET)
    bucket.create(CreateBucketConfiguration={"LocationConstraint": REGION})
    settings.STORAGES = settings.STORAGES | {"default": storage_of_the_site(endpoint)}
    yield bucket
    server.stop()


def storage_of_the_site(endpoint):
    """What ``config/settings.py`` makes of the environment."""
    show = "import json; from django.conf import settings; print(json.dumps(settings.STORAGES['default']))"
    run = manage("shell", "--no-imports", "-c", show, S3_ENDPOINT=endpoint, **WITH_BUCKET)
    return json.loads(run.stdout)


@pytest.mark.django_db(transaction=True)
def test_a_photograph_is_kept_in_the_bucket_shown_to_its_firm_backed_up_and_restored(bucket):
    observation = ObservationFactory()
    observation.photo.save("photo.jpg", ContentFile(PHOTOGRAPH))
    address = reverse("observation_photo", args=[observation.pk])
    browser, stranger = Browser(), Browser()
    browser.force_login(observation.inspection.inspector)
    stranger.force_login(MemberFactory())

    (kept,) = bucket.objects.all()
    assert kept.key == observation.photo.name
    assert kept.get()["Body"].read() == PHOTOGRAPH
    assert {grant["Grantee"]["Type"] for grant in kept.Acl().grants} == {"CanonicalUser"}  # its owner alone
    assert b"".join(browser.get(address).streaming_content) == PHOTOGRAPH
    assert stranger.get(address).status_code == 404

    backup = io.BytesIO()
    write_backup(backup)
    empty()
    bucket.objects.delete()
    assert not default_storage.exists(kept.key)
    read_backup(backup)

    assert Firm.objects.exists()
    assert [one.get()["Body"].read() for one in bucket.objects.all()] == [PHOTOGRAPH]
