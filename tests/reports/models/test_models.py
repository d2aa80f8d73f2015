"""Records: what a new one must hold beside those before it."""

import pytest
from django.db import IntegrityError, transaction

from reports.models import IssuedRecord
from tests.reports.ready import issued, ready_visit

pytestmark = pytest.mark.django_db


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
            {"revision": 2, "what_changed": "x", "previous_sha256": "1", "pdf_sha256": "0" * 63},
            id="hash of the PDF cut short",
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
