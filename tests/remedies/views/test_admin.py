"""Glow worksheets in the admin: changed while they are open, looked at from then on."""

from datetime import date

import pytest
from django.urls import reverse

from remedies.enums import GlowStatus
from remedies.models import GlowWorksheet
from tests.factories import GlowWorksheetFactory, MemberFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def service(client):
    client.force_login(MemberFactory(firm=None, is_superuser=True, is_staff=True))
    return client


def address(worksheet, what):
    return reverse(f"admin:remedies_glowworksheet_{what}", args=[worksheet.pk])


def test_open_worksheet_is_changed_and_not_ended_there(service):
    page = service.get(address(GlowWorksheetFactory(), "change")).text

    assert 'name="_save"' in page
    assert 'name="status"' not in page


def test_ended_worksheet_is_looked_at_and_neither_changed_nor_deleted(service):
    worksheet = GlowWorksheetFactory(
        status=GlowStatus.CLOSED,
        cause="coupling",
        outcome="Rerouted",
        ended_on=date(2026, 11, 20),
        ended_by=MemberFactory(),
    )

    page = service.get(address(worksheet, "change"))

    assert page.status_code == 200
    assert 'name="_save"' not in page.text
    assert service.post(address(worksheet, "change"), {}).status_code == 403
    assert service.post(address(worksheet, "delete"), {"post": "yes"}).status_code == 403
    assert GlowWorksheet.objects.filter(pk=worksheet.pk).exists()
