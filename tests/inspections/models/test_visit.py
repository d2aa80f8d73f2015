"""A visit, its instruments and its limitations."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from inspections.enums import InspectionStatus, LimitationKind
from inspections.models import Inspection
from tests.factories import InspectionFactory, InstrumentFactory, LimitationFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("status", "is_open"),
    [(InspectionStatus.DRAFT, True), (InspectionStatus.IN_REVIEW, False), (InspectionStatus.ISSUED, False)],
)
def test_results_may_be_entered_into_a_draft_alone(status, is_open):
    assert InspectionFactory(status=status).is_open is is_open


def test_earlier_visits_are_those_of_the_same_place_latest_first():
    now = InspectionFactory(started_on=date(2026, 11, 3))
    place = now.installation
    oldest = InspectionFactory(installation=place, started_on=date(2022, 11, 1))
    older = InspectionFactory(installation=place, started_on=date(2024, 11, 5))
    InspectionFactory(installation=place, started_on=date(2027, 1, 1))
    InspectionFactory(started_on=date(2024, 1, 1))
    assert list(Inspection.objects.before(now)) == [older, oldest]


@pytest.mark.parametrize(
    ("until", "day", "covered"),
    [
        (date(2026, 11, 3), date(2026, 11, 3), True),
        (date(2026, 11, 3), date(2026, 11, 4), False),
        (None, date(2026, 11, 3), False),
    ],
)
def test_calibration_covers_its_last_day(until, day, covered):
    assert InstrumentFactory(calibrated_until=until).is_calibrated_on(day) is covered


@pytest.mark.parametrize("tests", [[], ["no_such_test"], ["zs", "remarks"], "zs"])
def test_a_limitation_names_tests_of_the_schedule(tests):
    limitation = LimitationFactory(tests=tests)
    with pytest.raises(ValidationError, match="Choose at least one test"):
        limitation.full_clean()


def test_an_agreed_limitation_says_with_whom_and_when():
    limitation = LimitationFactory()
    limitation.kind = LimitationKind.AGREED
    with pytest.raises(ValidationError, match="says with whom it was agreed, and when"):
        limitation.full_clean()
    limitation.agreed_with, limitation.agreed_on = "The mill manager", date(2026, 10, 20)
    limitation.full_clean()


def test_a_limitation_gives_its_tests_by_the_headings_of_the_schedule():
    assert LimitationFactory(tests=["ir_live_live", "zs"]).test_headings == ["Live-live", "Zs"]
