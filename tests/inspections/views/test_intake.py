"""Spreadsheet intake through the web: send, look, bring in or drop."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inspections.models import Circuit, Upload
from tests.factories import InspectionFactory, MemberFactory
from tests.inspections.services.test_intake import LIGHTS, RING, workbook

pytestmark = pytest.mark.django_db


@pytest.fixture
def inspection():
    return InspectionFactory()


@pytest.fixture
def signed_in(client, inspection):
    client.force_login(inspection.inspector)
    return client


def send(client, inspection, content, name="visit.xlsx"):
    return client.post(reverse("intake", args=[inspection.pk]), {"file": SimpleUploadedFile(name, content)})


def preview_of(client, inspection, content):
    response = send(client, inspection, content)
    assert response.status_code == 302
    return client.get(response.url)


def digest(page):
    return page.context["plan"].digest


def test_file_is_previewed_then_brought_in(signed_in, inspection):
    page = preview_of(signed_in, inspection, workbook(LIGHTS, RING))
    assert not Circuit.objects.exists()
    upload = Upload.objects.get()
    response = signed_in.post(reverse("intake_commit", args=[upload.pk]), {"digest": digest(page)})
    assert response.url == reverse("findings", args=[inspection.pk])
    assert Circuit.objects.count() == 2
    upload.refresh_from_db()
    assert upload.committed_at


def test_column_mapped_by_hand_is_read_so(signed_in, inspection):
    preview_of(signed_in, inspection, workbook(LIGHTS))
    upload = Upload.objects.get()
    address = reverse("intake_preview", args=[upload.pk])
    signed_in.post(address, {"map|Sheet|I": "r2_only", "was|Sheet|I": "zs"})
    plan = signed_in.get(address).context["plan"]
    (circuit,) = plan.circuits.values()
    assert circuit.readings["r2_only"] == "1.40"
    assert "zs" not in circuit.readings
    # A second look keeps the choice though the page now shows it as matched.
    signed_in.post(address, {"map|Sheet|I": "r2_only", "was|Sheet|I": "r2_only"})
    (circuit,) = signed_in.get(address).context["plan"].circuits.values()
    assert "zs" not in circuit.readings


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("visit.xlsx", b"not a workbook", "not a workbook"),
        ("visit.csv", b"", "empty"),
        ("visit.csv", b"a,b\n1,2\n", "headings"),
    ],
)
def test_file_that_cannot_be_read_is_refused_in_words_and_not_kept(
    signed_in, inspection, name, content, words
):
    response = send(signed_in, inspection, content, name)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not Upload.objects.exists()


def test_no_file_chosen_says_so(signed_in, inspection):
    response = signed_in.post(reverse("intake", args=[inspection.pk]))
    assert "Choose a spreadsheet first" in response.content.decode()


def test_dropped_file_changes_nothing(signed_in, inspection):
    preview_of(signed_in, inspection, workbook(LIGHTS))
    signed_in.post(reverse("intake_drop", args=[Upload.objects.get().pk]))
    assert not Upload.objects.not_dropped().exists()
    assert not Circuit.objects.exists()


def test_stale_digest_brings_nothing_in_and_shows_the_preview_again(signed_in, inspection):
    preview_of(signed_in, inspection, workbook(LIGHTS))
    response = signed_in.post(reverse("intake_commit", args=[Upload.objects.get().pk]), {"digest": "old"})
    assert response.status_code == 409
    assert "the record has changed since" in response.content.decode()
    assert not Circuit.objects.exists()


def test_stranger_finds_nothing(client, signed_in, inspection):
    preview_of(signed_in, inspection, workbook(LIGHTS))
    upload = Upload.objects.get()
    client.force_login(MemberFactory())
    for name, pk in [("intake", inspection.pk), ("intake_preview", upload.pk)]:
        assert client.get(reverse(name, args=[pk])).status_code == 404
    for name in ("intake_commit", "intake_drop"):
        assert client.post(reverse(name, args=[upload.pk])).status_code == 404
    assert Upload.objects.exists()


def test_anonymous_is_sent_to_sign_in(client, inspection):
    assert client.get(reverse("intake", args=[inspection.pk])).url.startswith(reverse("account_login"))
