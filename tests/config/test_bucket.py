"""Photographs and PDFs in a bucket, where one is named: kept, shown only to those who may see them, backed up
and restored."""

import io
import json
from datetime import timedelta
from hashlib import sha256

import boto3
import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone
from moto.server import ThreadedMotoServer

from inspections.models import Firm
from reports.backup.archive import read_backup, write_backup
from reports.links.services import give_link
from reports.services.pdf import draw_pdf
from tests.config.test_web import manage
from tests.factories import MemberFactory, ObservationFactory
from tests.reports.backup.conftest import empty
from tests.reports.ready import issued

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
    bucket.objects.delete()
    bucket.delete()
    server.stop()


def storage_of_the_site(endpoint):
    """What ``config/settings.py`` makes of the environment."""
    show = "import json; from django.conf import settings; print(json.dumps(settings.STORAGES['default']))"
    run = manage("shell", "--no-imports", "-c", show, S3_ENDPOINT=endpoint, **WITH_BUCKET)
    return json.loads(run.stdout)


def is_its_owners_alone(kept):
    return {grant["Grantee"]["Type"] for grant in kept.Acl().grants} == {"CanonicalUser"}


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
    assert is_its_owners_alone(kept)
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


@pytest.mark.django_db(transaction=True)
def test_an_issued_report_is_kept_in_the_bucket_read_by_firm_and_client_backed_up_and_restored(bucket):
    record = draw_pdf(issued())
    inside, stranger = Browser(), Browser()
    inside.force_login(record.issued_by)
    stranger.force_login(MemberFactory())
    until = timezone.localdate() + timedelta(days=1)
    token = give_link(record=record, given_to="Larkfield Estate", expires_on=until, member=record.issued_by)
    own, clients = reverse("record_pdf", args=[record.pk]), reverse("client_report_pdf", args=[token])

    (kept,) = bucket.objects.all()
    pdf = kept.get()["Body"].read()
    assert kept.key == f"records/{sha256(pdf).hexdigest()}.pdf"
    assert pdf.startswith(b"%PDF-")
    assert is_its_owners_alone(kept)
    assert "passed, just now" in inside.get(reverse("record", args=[record.pk])).text
    assert [inside.get(own).content, Browser().get(clients).content] == [pdf, pdf]
    assert stranger.get(own).status_code == 404

    backup = io.BytesIO()
    write_backup(backup)
    empty()
    kept.delete()
    read_backup(backup)
    inside.force_login(record.issued_by)
    assert Browser().get(clients).content == pdf

    bucket.put_object(Key=kept.key, Body=b"another")
    assert "is not what was kept" in inside.get(own).text
    kept.delete()
    assert "is missing" in inside.get(own).text
    inside.post(own)
    assert inside.get(own).content == pdf
