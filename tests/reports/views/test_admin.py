"""Records in the admin are looked at, not changed."""

import pytest
from django.urls import reverse

from tests.factories import MemberFactory
from tests.reports.ready import issued

pytestmark = pytest.mark.django_db


def test_whoever_runs_the_service_sees_records_and_changes_none(client):
    record = issued()
    client.force_login(MemberFactory(firm=None, is_superuser=True, is_staff=True))
    for name in ("issuedrecord", "review", "pointanswer", "correction"):
        assert client.get(reverse(f"admin:reports_{name}_changelist")).status_code == 200
    change = reverse("admin:reports_issuedrecord_change", args=[record.pk])
    assert record.sha256 in client.get(change).content.decode()
    assert client.post(change, {"number": 7}).status_code == 403
    assert client.get(reverse("admin:reports_issuedrecord_delete", args=[record.pk])).status_code == 403
    assert client.get(reverse("admin:reports_issuedrecord_add")).status_code == 403
