"""Reviews, answers, corrections and records: what one row must hold."""

from datetime import UTC, datetime

import pytest
from django.db import IntegrityError, transaction
from django.db.models import F

from inspections.querysets import FirmQuerySet
from reports.models import Correction, IssuedRecord, PointAnswer, RecordPhoto, RecordSeries, Review
from tests.factories import FirmFactory, InspectionFactory
from tests.reports.ready import in_review, issued, ready_visit, supervisor_of

pytestmark = pytest.mark.django_db
AT = datetime(2026, 11, 9, 12, tzinfo=UTC)


def answer_row():
    inspection = InspectionFactory()
    return PointAnswer.objects.create(
        inspection=inspection, key="finding 1", said="Zs is high", text="Measured again",
        answered_by=supervisor_of(inspection), answered_on=AT.date(),
    )  # fmt: skip


def correction_row():
    record = issued()
    return Correction.objects.create(
        inspection=record.inspection, corrects=record, what_changed="A name", opened_by=record.issued_by,
        opened_at=AT,
    )  # fmt: skip


ROWS = {
    Review: lambda: in_review().reviews.get(),
    PointAnswer: answer_row,
    Correction: correction_row,
    IssuedRecord: issued,
    RecordSeries: lambda: RecordSeries.objects.get(firm=issued().firm),
    RecordPhoto: lambda: RecordPhoto.objects.create(record=issued(), sha256="0" * 64, content=b"x"),
}
every_model = pytest.mark.parametrize("model", ROWS, ids=lambda model: model.__name__)

BROKEN_BY = {
    "review_outcome_known": (Review, {"outcome": "x", "closed_at": AT, "closed_by": F("sent_by")}),
    "review_closed_says_when_and_by_whom": (Review, {"closed_at": AT}),
    "point_answer_says_something": (PointAnswer, {"text": ""}),
    "correction_says_what": (Correction, {"what_changed": ""}),
}


@every_model
def test_belongs_to_one_firm_and_no_other_firm_finds_it(model):
    row = owner = ROWS[model]()
    for step in model.FIRM_PATH.split("__"):
        owner = getattr(owner, step)
    assert isinstance(model.objects.all(), FirmQuerySet)
    assert row in model.objects.for_firm(owner)
    assert row not in model.objects.for_firm(FirmFactory())


@every_model
def test_says_what_it_is(model):
    assert " object (" not in str(ROWS[model]())


@pytest.mark.parametrize("name", BROKEN_BY)
def test_a_row_that_breaks_a_check_is_refused(name):
    model, change = BROKEN_BY[name]
    row = ROWS[model]()
    with pytest.raises(IntegrityError, match=name):
        model.objects.filter(pk=row.pk).update(**change)


def test_a_review_returned_says_why():
    review = in_review().reviews.get()
    with pytest.raises(IntegrityError, match="review_returned_says_why"):
        Review.objects.filter(pk=review.pk).update(outcome="returned", closed_at=AT, closed_by=review.sent_by)


def copy_of(record, **changes):
    values = {
        field.name: getattr(record, field.name)
        for field in IssuedRecord._meta.concrete_fields
        if not field.primary_key
    }
    return IssuedRecord(**values | changes)


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param({"revision": 2, "what_changed": "x", "previous_sha256": ""}, id="chain forks"),
        pytest.param({"previous_sha256": "1"}, id="number and revision taken"),
        pytest.param({"number": 2, "previous_sha256": "1"}, id="revision of the visit taken"),
        pytest.param(
            {"number": 0, "revision": 2, "what_changed": "x", "previous_sha256": "1"}, id="number 0"
        ),
        pytest.param({"revision": 2, "previous_sha256": "1"}, id="revision without what changed"),
        pytest.param(
            {"revision": 2, "what_changed": "x", "previous_sha256": "1", "pdf": b"x"}, id="PDF without hash"
        ),
    ],
)
def test_a_record_that_does_not_fit_the_series_is_refused(changes):
    record = issued()
    with transaction.atomic(), pytest.raises(IntegrityError):
        copy_of(record, **changes).save()
    copy_of(record, revision=2, what_changed="x", previous_sha256=record.sha256).save()
    assert record.inspection.issued_records.count() == 2


def test_two_firms_each_begin_at_1():
    assert [issued().number, issued(ready_visit()).number] == [1, 1]


def test_changes_of_reviews_answers_and_corrections_keep_their_history():
    answer = answer_row()
    answer.text, answer._history_user = "Looked at again", answer.answered_by
    answer.save()
    assert [row.text for row in answer.history.all()] == ["Looked at again", "Measured again"]
    assert all(hasattr(model, "history") for model in (Review, PointAnswer, Correction))
