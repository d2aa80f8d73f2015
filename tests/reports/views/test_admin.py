"""Records, and what they were drawn from, in the admin: looked at, not changed."""

import pytest
from django.urls import reverse

from inspections.enums import InspectionStatus
from inspections.models import BoardResult, CircuitResult, Inspection, Limitation, Observation, VisualOutcome
from tests.factories import (
    BoardResultFactory,
    CircuitResultFactory,
    InspectionFactory,
    LimitationFactory,
    MemberFactory,
    ObservationFactory,
    VisualOutcomeFactory,
)
from tests.reports.ready import in_review, issued

pytestmark = pytest.mark.django_db


ROWS = {
    BoardResult: BoardResultFactory,
    CircuitResult: CircuitResultFactory,
    Inspection: InspectionFactory,
    Limitation: LimitationFactory,
    Observation: ObservationFactory,
    VisualOutcome: VisualOutcomeFactory,
}
of_a_visit = pytest.mark.parametrize("model", ROWS, ids=lambda model: model.__name__)


@pytest.fixture
def client(client):
    client.force_login(MemberFactory(firm=None, is_superuser=True, is_staff=True))
    return client


def address(model, what, *args):
    return reverse(f"admin:inspections_{model._meta.model_name}_{what}", args=args)


def closed(model, status=InspectionStatus.ISSUED):
    """A row whose visit is no draft any more."""
    row = ROWS[model]()
    Inspection.objects.filter(pk=getattr(row, "inspection", row).pk).update(status=status)
    return row


@of_a_visit
@pytest.mark.parametrize("status", [InspectionStatus.ISSUED, InspectionStatus.IN_REVIEW])
def test_row_of_a_visit_that_is_no_draft_is_looked_at_and_neither_changed_nor_deleted(model, status, client):
    row = closed(model, status)
    page = client.get(address(model, "change", row.pk))
    assert page.status_code == 200
    assert 'name="_save"' not in page.content.decode()
    assert client.post(address(model, "change", row.pk), {}).status_code == 403
    assert client.post(address(model, "delete", row.pk), {"post": "yes"}).status_code == 403
    assert model.objects.filter(pk=row.pk).exists()


@of_a_visit
def test_earlier_entry_of_its_history_is_not_put_back(model, client):
    row = closed(model)
    entry = row.history.first()
    assert client.post(address(model, "simple_history", row.pk, entry.pk), {}).status_code == 403


@of_a_visit
def test_many_rows_are_not_deleted_in_one_go(model, client):
    row = closed(model)
    assert "delete_selected" not in client.get(address(model, "changelist")).content.decode()
    data = {"action": "delete_selected", "_selected_action": [row.pk], "post": "yes"}
    client.post(address(model, "changelist"), data)
    assert model.objects.filter(pk=row.pk).exists()


def test_row_of_a_draft_is_changed(client):
    row = ObservationFactory()
    page = client.get(address(Observation, "change", row.pk)).content.decode()
    assert 'name="_save"' in page


def test_nothing_is_added_to_an_issued_visit(client):
    visit = closed(Inspection)
    response = client.post(address(Observation, "add"), {"inspection": visit.pk, "text": "Cover loose"})
    assert "That choice is not one of the available choices" in response.content.decode()
    assert not Observation.objects.exists()


def test_visit_is_not_issued_by_hand(client):
    visit = in_review()
    Inspection.objects.filter(pk=visit.pk).update(status=InspectionStatus.DRAFT)
    assert 'name="status"' not in client.get(address(Inspection, "change", visit.pk)).content.decode()


def test_whoever_runs_the_service_sees_records_and_changes_none(client):
    record = issued()
    for name in ("issuedrecord", "review", "pointanswer", "correction"):
        assert client.get(reverse(f"admin:reports_{name}_changelist")).status_code == 200
    change = reverse("admin:reports_issuedrecord_change", args=[record.pk])
    assert record.sha256 in client.get(change).content.decode()
    assert client.post(change, {"number": 7}).status_code == 403
    assert client.get(reverse("admin:reports_issuedrecord_delete", args=[record.pk])).status_code == 403
    assert client.get(reverse("admin:reports_issuedrecord_add")).status_code == 403
