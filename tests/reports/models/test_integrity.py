"""What the database refuses once a report is issued, past every service and form. Every trigger is tried."""

from datetime import date

import pytest
from django.core.files.base import ContentFile
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction

from inspections.enums import InspectionStatus
from inspections.models import Inspection, Limitation
from reports.integrity import refusals
from reports.models import Correction, IssuedRecord, RecordPhoto, RecordSeries, RecordUpload
from tests.factories import (
    BoardFactory,
    BoardResultFactory,
    CircuitFactory,
    CircuitResultFactory,
    CorrectionFactory,
    InspectionFactory,
    InstrumentFactory,
    LimitationFactory,
    ObservationFactory,
    RecordUploadFactory,
    RunFactory,
    RunItemFactory,
    VisualOutcomeFactory,
)
from tests.factories.reports import AT
from tests.reports.ready import in_review, issued, ready_visit, supervisor_of

pytestmark = pytest.mark.django_db

OF_VISIT = (
    BoardResultFactory,
    CircuitResultFactory,
    LimitationFactory,
    ObservationFactory,
    VisualOutcomeFactory,
)
CHANGES = {
    BoardResultFactory: {"zdb": "0.30"},
    CircuitResultFactory: {"zs": "0.79"},
    LimitationFactory: {"reason": "Another"},
    ObservationFactory: {"text": "Another"},
    VisualOutcomeFactory: {"remark": "Another"},
}
of_visit = pytest.mark.parametrize("factory", OF_VISIT, ids=lambda factory: factory._meta.model.__name__)


def refused(match="no longer changes"):
    return pytest.raises(IntegrityError, match=match)


def close(inspection):
    Inspection.objects.filter(pk=inspection.pk).update(status=InspectionStatus.ISSUED)


def joined(through):
    """A row that joins something to a visit issued since, and what may not be joined to it now."""
    inspection = InspectionFactory()
    place = inspection.installation
    if through is Inspection.instruments.through:
        names = ("inspection", "instrument")
        left = inspection
        rights = [InstrumentFactory(firm=place.firm) for _ in range(2)]
    else:
        left = LimitationFactory(inspection=inspection)
        board = BoardFactory(installation=place)
        if through is Limitation.boards.through:
            names, rights = ("limitation", "board"), [board, BoardFactory(installation=place)]
        else:
            names, rights = ("limitation", "circuit"), [CircuitFactory(board=board) for _ in range(2)]
    row = through.objects.create(**{names[0]: left, names[1]: rights[0]})
    close(inspection)
    return row, {names[0]: left, names[1]: rights[1]}


THROUGH = (Inspection.instruments.through, Limitation.boards.through, Limitation.circuits.through)
of_join = pytest.mark.parametrize("through", THROUGH, ids=lambda model: model.__name__)


@of_visit
def test_nothing_is_added_to_an_issued_visit(factory):
    inspection = InspectionFactory(status=InspectionStatus.ISSUED)
    with refused():
        factory(inspection=inspection)


@of_visit
def test_nothing_of_an_issued_visit_changes(factory):
    row = factory()
    close(row.inspection)
    with refused():
        type(row).objects.filter(pk=row.pk).update(**CHANGES[factory])


@of_visit
def test_nothing_of_a_draft_is_moved_to_an_issued_visit(factory):
    row = factory()
    other = InspectionFactory(installation=row.inspection.installation, status=InspectionStatus.ISSUED)
    with refused():
        type(row).objects.filter(pk=row.pk).update(inspection=other)


@of_visit
def test_nothing_of_an_issued_visit_is_deleted(factory):
    row = factory()
    close(row.inspection)
    with refused():
        row.delete()


@of_join
def test_nothing_is_joined_to_an_issued_visit(through):
    _, other = joined(through)
    with refused():
        through.objects.create(**other)


@of_join
def test_what_is_joined_to_an_issued_visit_stays_joined(through):
    row, other = joined(through)
    with transaction.atomic(), refused():
        through.objects.filter(pk=row.pk).update(**other)
    with refused():
        row.delete()


@pytest.mark.parametrize("status", [InspectionStatus.DRAFT, InspectionStatus.IN_REVIEW])
@of_visit
def test_until_it_is_issued_the_database_lets_it_change(factory, status):
    row = factory(inspection=InspectionFactory(status=status))
    assert type(row).objects.filter(pk=row.pk).update(**CHANGES[factory]) == 1
    row.delete()


def test_what_an_issued_visit_observed_may_be_put_right():
    observation = ObservationFactory()
    close(observation.inspection)
    observation.put_right_on, observation.put_right_by = date(2026, 12, 1), "N. Farrow"
    observation.evidence = "Lid screwed down, photograph taken"
    observation.save()
    observation.refresh_from_db()
    assert observation.put_right_by == "N. Farrow"


def test_a_photograph_of_an_issued_visit_stays():
    observation = ObservationFactory(photo=ContentFile(b"as taken", name="board.jpg"))
    close(observation.inspection)
    observation.photo = ""
    with refused():
        observation.save()


@pytest.mark.parametrize(
    "change", [{"extent": "All"}, {"next_due_on": date(2031, 1, 1)}, {"ze": "0.1"}, {"status": "in_review"}]
)
def test_an_issued_visit_itself_does_not_change(change):
    inspection = InspectionFactory(status=InspectionStatus.ISSUED)
    with refused():
        Inspection.objects.filter(pk=inspection.pk).update(**change)


def test_an_issued_visit_is_not_deleted():
    inspection = InspectionFactory(status=InspectionStatus.ISSUED)
    with refused():
        inspection.delete()


def test_an_issued_visit_goes_back_to_draft_only_for_a_correction_and_with_no_other_change():
    record = issued()
    visit = Inspection.objects.filter(pk=record.inspection_id)
    with transaction.atomic(), refused():
        visit.update(status=InspectionStatus.DRAFT)
    Correction.objects.create(
        inspection=record.inspection, corrects=record, what_changed="Condition", opened_by=record.issued_by,
        opened_at=record.issued_at,
    )  # fmt: skip
    with transaction.atomic(), refused():
        visit.update(status=InspectionStatus.DRAFT, general_condition="Another")
    assert visit.update(status=InspectionStatus.DRAFT) == 1


@pytest.mark.parametrize(
    "change",
    [
        {"content": b"{}"},
        {"sha256": "0" * 64},
        {"previous_sha256": "0" * 64},
        {"number": 2},
        {"what_changed": "x"},
        {"schema": "x"},
    ],
)
def test_an_issued_record_never_changes(change):
    record = issued()
    with refused("never changes"):
        IssuedRecord.objects.filter(pk=record.pk).update(**change)


def test_an_issued_record_is_never_deleted():
    record = issued()
    with refused("never changes"):
        IssuedRecord.objects.filter(pk=record.pk).delete()


def test_the_pdf_is_added_once_and_alone():
    rows = IssuedRecord.objects.filter(pk=issued().pk)
    with transaction.atomic(), refused("never changes"):
        rows.update(pdf_sha256="0" * 64, number=2)
    assert rows.update(pdf_sha256="0" * 64) == 1
    with transaction.atomic(), refused("never changes"):
        rows.update(pdf_sha256="1" * 64)
    with refused("never changes"):
        rows.update(pdf_sha256="")


def test_a_record_is_of_the_firm_of_its_visit():
    record = issued()
    inspection = in_review()
    values = {
        field.name: getattr(record, field.name)
        for field in IssuedRecord._meta.concrete_fields
        if not field.primary_key
    }
    with refused("another firm"):
        IssuedRecord.objects.create(
            **values | {"inspection": inspection, "number": 2, "previous_sha256": "1"}
        )


def test_a_photograph_of_a_record_stays_as_it_was():
    photo = RecordPhoto.objects.create(record=issued(), sha256="0" * 64, content=b"as taken")
    with transaction.atomic(), refused("never changes"):
        RecordPhoto.objects.filter(pk=photo.pk).update(content=b"another")
    with refused("never changes"):
        photo.delete()


def test_a_series_never_goes_back():
    issued()
    series = RecordSeries.objects.get()
    with transaction.atomic(), refused("never goes back"):
        RecordSeries.objects.filter(pk=series.pk).update(last_number=0)
    with refused("never goes back"):
        series.delete()


def test_what_is_brought_in_run_or_corrected_stays_with_its_firm_and_its_visit():
    record, other = issued(), InspectionFactory()
    with transaction.atomic(), refused("another firm"):
        RecordUploadFactory(firm=record.firm, inspection=other, committed_at=record.issued_at)
    with transaction.atomic(), refused("another firm"):
        RunFactory(firm=record.firm, member=other.inspector)
    with transaction.atomic(), refused("another firm"):
        RunItemFactory(run=RunFactory(firm=record.firm), inspection=other)
    with refused("another inspection"):
        CorrectionFactory(corrects=record, inspection=other)


def test_what_was_brought_in_is_not_moved_to_another_firms_inspection():
    upload = RecordUploadFactory()
    rows = RecordUpload.objects.filter(pk=upload.pk)
    with refused("another firm"):
        rows.update(inspection=InspectionFactory(), committed_at=AT)


def test_every_refusal_is_laid():
    """The tests above try each kind on each table; this one that none was forgotten on the way."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        else:
            cursor.execute("SELECT tgname FROM pg_trigger WHERE NOT tgisinternal")
        laid = {name for (name,) in cursor.fetchall()}
    asked = [refusal.name for refusal in refusals()]
    assert len(asked) == len(set(asked))
    assert set(asked) <= laid


@pytest.mark.django_db(transaction=True)
def test_emptying_the_database_by_name_is_still_possible():
    inspection = ready_visit()
    issued(inspection)
    supervisor = supervisor_of(inspection)
    call_command("flush", interactive=False, verbosity=0)
    assert not IssuedRecord.objects.exists()
    assert not type(supervisor).objects.exists()
    with refused():
        ObservationFactory(inspection=InspectionFactory(status=InspectionStatus.ISSUED))
