"""Published intervals, against IET Guidance Note 3, Table 3.2."""

from datetime import date

import pytest

from inspections.enums import Use
from inspections.rules.interval import intervals, longest, months_after, read
from inspections.rules.rule_file import EditionError

# Years to the next inspection and test in the table; dwellings and houses also at a change of occupancy.
TABLE_3_2 = {
    "dwelling_owner": 10, "dwelling_rented": 5, "shared_house": 5, "commercial": 5, "educational": 5,
    "industrial": 3, "office": 5, "leisure": 3, "catering": 5, "medical": 1, "agricultural": 3,
}  # fmt: skip


def test_intervals_are_those_of_the_table():
    assert {use: interval.months / 12 for use, interval in intervals().items()} == TABLE_3_2
    assert {interval.source.clause for interval in intervals().values()} == {"Table 3.2"}


def test_every_use_of_the_record_but_other_has_one():
    assert set(intervals()) == set(Use.values) - {Use.OTHER}
    assert longest("other") is None


def test_words_say_the_years_and_what_brings_it_forward():
    assert longest("medical").words == "1 year for medical location"
    assert longest("dwelling_rented").words == "5 years for dwelling, rented, or at a change of occupancy"


@pytest.mark.parametrize(
    ("day", "months", "ends"),
    [
        (date(2026, 11, 17), 36, date(2029, 11, 17)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2026, 12, 31), 1, date(2027, 1, 31)),
    ],
)
def test_months_run_by_the_calendar(day, months, ends):
    assert months_after(day, months) == ends


def test_a_use_named_twice_is_refused():
    row = '[[premises]]\nname = "x"\nuses = ["office"]\nmonths = 12\nclause = "1"\n'
    with pytest.raises(EditionError, match="“office” is named twice"):
        read(f'title = "t"\n{row}{row}')
