"""Counts over time: against a count row by row, and as a drawing."""

from collections import Counter
from datetime import date
from xml.etree import ElementTree

import pytest
from django.urls import reverse

from reports.audit import falling_due, parts, without_full_test
from reports.audit.asked import Asked
from reports.audit.bars import MONTHS, YEARS, Bars
from reports.audit.question import answer
from reports.audit.work_out import bring_up_to_date
from reports.drawings.bars import HEIGHT, bars
from reports.drawings.svg import to_svg
from tests.reports.audit import records
from tests.reports.audit.records import TODAY


@pytest.fixture
def firm(db):
    records.Firm(41)
    ours = records.Firm(4).firm
    bring_up_to_date(ours, TODAY)
    return ours


def drawn(question, firm):
    return dict(answer(question, Asked(firm, TODAY)).bars.bars)


def test_entries_and_circuits_by_year(firm):
    for question, rows in (
        (parts.QUESTION, records.parts(firm)),
        (without_full_test.QUESTION, records.without_a_full_test(firm)),
    ):
        expected = Counter(str(row["since"].year) for row in rows.values())
        assert {label: count for label, count in drawn(question, firm).items() if count} == expected
        assert list(drawn(question, firm)) == [str(year) for year in range(int(min(expected)), 2027)]


def test_what_is_older_than_the_first_year_stands_in_it(place, firm):
    place.load.since = date(1988, 2, 3)
    place.load.save()
    bring_up_to_date(place.member.firm, TODAY)

    told = drawn(parts.QUESTION, place.member.firm)

    assert told["to 2007"] == 1
    assert len(told) == YEARS


def test_what_falls_due_by_month_with_what_waits_and_what_is_later(firm):
    due = [day for day, *_ in records.falling_due(firm)]

    told = drawn(falling_due.QUESTION, firm)

    assert told["waiting"] == sum(day <= TODAY for day in due)
    assert told["Dec 26"] == sum((day.year, day.month) == (2026, 12) for day in due)
    assert told["later"] == sum(day >= date(2028, 5, 1) for day in due)
    assert sum(told.values()) == len(due)
    assert len(told) == MONTHS + 2


def test_the_drawing_is_to_scale_and_says_the_same_in_words():
    counted = Bars("Things by year", (("2024", 5), ("2025", 0), ("2026", 10)))

    root = ElementTree.fromstring(to_svg(bars(counted), counted.in_words))

    tall = [float(rect.get("height")) for rect in root.iter("{http://www.w3.org/2000/svg}rect")]
    assert tall[-1] == pytest.approx(2 * tall[-2], rel=1e-3)
    assert max(tall) <= HEIGHT
    assert root.get("aria-label") == "Things by year. 2024: 5; 2026: 10."


def test_the_first_page_shows_it(place, browse):
    page = browse.get(reverse("audit_question", args=["falling-due"])).text

    assert 'role="img"' in page
    assert "What falls due by month" in page
