"""A correction opened by mistake is dropped, as long as the visit is what its record says."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from inspections.enums import Code, InspectionStatus, Role
from reports.models import IssuedRecord
from reports.services.correction import drop_correction, revise
from tests.factories import VISIT, LimitationFactory, MemberFactory, ObservationFactory
from tests.reports.ready import issued, ready_visit, supervisor_of

pytestmark = pytest.mark.django_db


def fresh(inspection):
    inspection.refresh_from_db()
    return inspection


def opened():
    """A record, and its visit opened to correct it."""
    record = issued()
    revise(inspection=record.inspection, what_changed="A name", member=record.issued_by)
    return record, fresh(record.inspection)


def drop(record, why="Opened the wrong visit"):
    return drop_correction(inspection=record.inspection, why=why, member=record.issued_by)


def test_correction_opened_by_mistake_is_dropped_and_the_history_says_why():
    record, inspection = opened()

    correction = drop(record)

    assert fresh(inspection).status == InspectionStatus.ISSUED
    assert (correction.dropped_why, correction.dropped_by) == ("Opened the wrong visit", record.issued_by)
    assert inspection.history.latest().history_change_reason == "Correction of No. 1 dropped"
    assert IssuedRecord.objects.get() == record


def test_record_whose_correction_was_dropped_may_be_corrected_again():
    record, inspection = opened()
    drop(record)
    revise(inspection=inspection, what_changed="The name after all", member=record.issued_by)
    second = issued(fresh(inspection))
    assert (second.number, second.revision, second.what_changed) == (1, 2, "The name after all")


def test_dropped_without_a_reason_or_by_another_than_a_supervisor_it_stays_open():
    record, inspection = opened()
    with pytest.raises(ValidationError, match="Say why it is dropped"):
        drop(record, " ")
    member = MemberFactory(firm=record.firm, role=Role.INSPECTOR)
    with pytest.raises(PermissionDenied, match="supervisor"):
        drop_correction(inspection=inspection, why="x", member=member)
    assert fresh(inspection).is_open


def test_only_an_open_correction_is_dropped():
    inspection = ready_visit()
    with pytest.raises(ValidationError, match="No correction is open here"):
        drop_correction(inspection=inspection, why="x", member=supervisor_of(inspection))
    record = issued()
    with pytest.raises(ValidationError, match="its record no longer changes"):
        drop(record)


def condition(inspection):
    inspection.general_condition = "Fair"
    inspection.save()


def reading(inspection):
    result = inspection.results.get()
    result.zs = "0.81"
    result.save()


def instrument(inspection):
    inspection.instruments.clear()


def limitation(inspection):
    LimitationFactory(inspection=inspection)


def visual_outcome(inspection):
    row = inspection.visual_outcomes.first()
    row.remark = "Seen from the floor"
    row.save()


@pytest.mark.parametrize("change", [condition, reading, instrument, limitation, visual_outcome])
def test_correction_with_anything_changed_is_not_dropped(change):
    record, inspection = opened()
    change(inspection)
    with pytest.raises(ValidationError, match=r"Changed since it was opened: .* No\. 1 says"):
        drop(record)
    assert fresh(inspection).is_open


def test_what_was_changed_and_put_back_is_no_change_and_neither_is_what_was_put_right():
    observed = ready_visit()
    ObservationFactory(inspection=observed, code=Code.C3)
    record = issued(observed)
    inspection = record.inspection
    revise(inspection=inspection, what_changed="A name", member=record.issued_by)
    inspection = fresh(inspection)
    result = inspection.results.get()
    for zs in ("0.81", "0.80"):
        result.zs = zs
        result.save()
    observation = inspection.observations.get()
    observation.put_right_on, observation.put_right_by = VISIT, "N. Farrow"
    observation.save()

    drop(record)

    assert fresh(inspection).status == InspectionStatus.ISSUED
