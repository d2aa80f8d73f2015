"""What the first page says needs each person."""

from datetime import UTC, date, datetime

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils.html import escape

from inspections.enums import Role
from remedies.enums import LoadState
from reports.audit.today import needs_of
from reports.models import Review, ReviewOutcome
from tests.factories import BoardLabelFactory, InspectionFactory, MemberFactory
from tests.reports.audit.conftest import make_place

TODAY = date(2026, 11, 25)
PRINT, STICK = "1 board label to print", "1 printed label to stick at its board"
OPEN, PUT_BACK = (
    "1 observation of C1, C2 or FI still open",
    "1 load disconnected for a test and never put back",
)
CALIBRATION = "1 instrument out of calibration, or within 60 days"


def words_for(place, role):
    member = MemberFactory(firm=place.member.firm, role=role)
    return [need.words for need in needs_of(member, TODAY)]


@pytest.mark.parametrize(
    ("role", "expected"),
    [
        (Role.OFFICE, [PUT_BACK, PRINT, CALIBRATION, OPEN]),
        (Role.SUPERVISOR, [PUT_BACK, OPEN, CALIBRATION, PRINT]),
        (Role.ELECTRICIAN, [PUT_BACK, PRINT]),
        (Role.INSPECTOR, [PUT_BACK, CALIBRATION]),
    ],
)
def test_each_is_told_what_their_work_asks(place, other, role, expected):
    place.load.state = LoadState.DISCONNECTED
    place.load.save()

    assert words_for(place, role) == expected


def test_a_printed_label_waits_for_the_electrician(place):
    from remedies.labels import label_words

    text = label_words(place.circuit.board, TODAY).text
    BoardLabelFactory(board=place.circuit.board, text=text, printed_at=datetime(2026, 11, 20, 9, tzinfo=UTC))

    assert words_for(place, Role.ELECTRICIAN) == [STICK]


@pytest.mark.parametrize("role", Role.values)
def test_every_line_leads_to_a_page_that_shows_so_many(place, role):
    place.load.state = LoadState.DISCONNECTED
    place.load.save()
    member = MemberFactory(firm=place.member.firm, role=role)
    browser = Browser()
    browser.force_login(member)

    page = browser.get(reverse("today")).text

    for need in needs_of(member, TODAY):
        assert escape(need.link) in page
        assert browser.get(need.link).context["answer"].total == int(need.words.split()[0])


def test_a_returned_visit_is_its_inspectors_and_the_supervisors(place):
    inspector = MemberFactory(firm=place.member.firm, role=Role.INSPECTOR)
    visit = InspectionFactory(installation=place.circuit.board.installation, inspector=inspector)
    sent = datetime(2026, 11, 4, 9, tzinfo=UTC)
    for number, remarks in enumerate(("Zs of way 3", "Still Zs of way 3")):
        Review.objects.create(
            inspection=visit,
            sent_by=inspector,
            sent_at=sent.replace(day=4 + number),
            outcome=ReviewOutcome.RETURNED,
            remarks=remarks,
            closed_by=place.member,
            closed_at=sent,
        )

    told = [need.words for need in needs_of(inspector, TODAY) if need.words.startswith("Returned")]

    assert len(told) == 1
    assert told[0].endswith("Still Zs of way 3")
    assert any("Returned" in words for words in words_for(place, Role.SUPERVISOR))
    assert not any("Returned" in words for words in words_for(place, Role.INSPECTOR))
    assert not any("Returned" in words for words in words_for(place, Role.OFFICE))


@pytest.mark.parametrize("places", [1, 4])
def test_the_number_of_statements_does_not_grow(place, places, django_assert_num_queries):
    for number in range(places - 1):
        make_place(place.member, f"Place {number}")
    needs_of(place.member, TODAY)

    # Marks of instruments and of places, what is due, what is disconnected, what was returned.
    with django_assert_num_queries(5):
        needs_of(place.member, TODAY)
