"""The limitations of an inspection as a sheet."""

from datetime import date

import pytest

from inspections.enums import LimitationKind
from reports.content import content_of
from reports.limitations import COLUMNS, limitations_sheet
from tests.factories import InspectionFactory, LimitationFactory


@pytest.mark.django_db
def test_the_day_of_an_agreement_is_a_date_and_empty_where_nothing_was_agreed():
    visit = InspectionFactory()
    LimitationFactory(
        inspection=visit,
        kind=LimitationKind.AGREED,
        agreed_with="The manager",
        agreed_on=date(2026, 11, 1),
    )
    LimitationFactory(inspection=visit, kind=LimitationKind.OPERATIONAL)
    agreed_on = [column.name for column in COLUMNS].index("agreed_on")
    days = [row[agreed_on] for row in limitations_sheet(content_of(visit)).rows]
    assert days == [date(2026, 11, 1), ""]
