"""Counts over time and by kind: against a count row by row, as a drawing, and in print."""

import io
from collections import Counter
from datetime import date
from xml.etree import ElementTree

import openpyxl
import pdfplumber
import pytest
from django.urls import reverse

from remedies.enums import LoadKind
from reports.audit import falling_due, loads_in_the_way, parts, unexplained, without_full_test
from reports.audit.asked import Asked
from reports.audit.bars import MONTHS, YEARS
from reports.audit.question import answer
from reports.audit.questions import QUESTIONS
from reports.audit.work_out import bring_up_to_date
from reports.drawings.bars import HEIGHT, bars
from reports.drawings.figure import draw
from reports.drawings.svg import to_svg
from reports.sheets.figure import Bars
from tests.factories import CircuitResultFactory, InspectionFactory
from tests.reports.audit import records
from tests.reports.audit.records import TODAY


@pytest.fixture
def firm(db):
    records.Firm(41)
    ours = records.Firm(4).firm
    bring_up_to_date(ours, TODAY)
    return ours


def drawn(question, firm):
    return dict(answer(question, Asked(firm, TODAY)).figure.bars)


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


def test_loads_by_kind_the_most_first(firm):
    expected = Counter(LoadKind(row["kind"]).label for row in records.loads_in_the_way(firm).values())

    told = drawn(loads_in_the_way.QUESTION, firm)

    assert told == expected
    assert list(told.values()) == sorted(expected.values(), reverse=True)


def test_rows_that_are_all_of_this_year_are_not_drawn(firm):
    assert {row["read_on"].year for row in records.unexplained(firm).values()} == {TODAY.year}
    assert answer(unexplained.QUESTION, Asked(firm, TODAY)).figure is None


@pytest.fixture
def running_down(place):
    """Three readings of one circuit that a line takes to the limit."""
    for year, megohms in ((2022, "8.00"), (2023, "4.00"), (2025, "2.00")):
        visit = InspectionFactory(
            installation=place.circuit.board.installation,
            inspector=place.member,
            started_on=date(year, 3, 1),
        )
        CircuitResultFactory(inspection=visit, circuit=place.circuit, ir_live_earth=megohms, ir_voltage_v=500)


@pytest.mark.usefixtures("running_down")
@pytest.mark.parametrize("key", list(QUESTIONS))
def test_the_print_shows_the_drawing_of_the_page(place, browse, key):
    """Every text of the drawing, the numbers among them, is on the printed page too."""
    shown = browse.get(reverse("audit_question", args=[key])).context["answer"].figure

    content = browse.get(reverse("audit_file", args=[key, "pdf"])).content

    with pdfplumber.open(io.BytesIO(content)) as pdf:
        printed = pdf.pages[0].extract_text()
    drawing = ElementTree.fromstring(to_svg(draw(shown), shown.in_words))
    texts = ["".join(text.itertext()).strip() for text in drawing.iter("{http://www.w3.org/2000/svg}text")]
    assert texts
    assert shown.title in printed
    assert all(text in printed for text in texts)


def test_the_workbook_tells_the_drawing_in_words(place, browse):
    content = browse.get(reverse("audit_file", args=["parts", "xlsx"])).content

    cells = [cell.value for line in openpyxl.load_workbook(io.BytesIO(content))["Answer"] for cell in line]
    assert "Entries by the year they were fitted or found. 2010: 1." in cells


@pytest.mark.parametrize("label", ["2024", "Neon with series resistor"])
def test_bars_are_as_long_as_what_they_count(label):
    """Upright over time, lying where their labels are words."""
    root = ElementTree.fromstring(to_svg(bars(Bars("Things", ((label, 4), ("x", 1)))), ""))

    rects = list(root.iter("{http://www.w3.org/2000/svg}rect"))
    along = "height" if label == "2024" else "width"
    longer, shorter = (float(rect.get(along)) for rect in rects[-2:])
    assert longer == pytest.approx(4 * shorter, rel=1e-3)


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
    assert "Due, month by month" in page
