"""The remedial report: what was put right and what stays open, on the day it is made."""

from datetime import date

import pytest

from reports.pdf.remedial import remedial_pdf
from reports.remedial import remedial
from tests.factories import CircuitFactory, InspectionFactory, ObservationFactory
from tests.reports.pdf.reading_back import all_text, page_texts, squeezed

pytestmark = pytest.mark.django_db

ON = date(2026, 12, 1)


@pytest.fixture
def inspection():
    inspection = InspectionFactory()
    circuit = CircuitFactory(board__installation=inspection.installation, board__designation="DB1", way="4")
    seen = {"inspection": inspection}
    ObservationFactory(**seen, text="List of circuits out of date", code="C3")
    ObservationFactory(
        **seen, text="Socket broken", code="C2", circuit=circuit, place="Garage",
        put_right_on=date(2026, 11, 20), put_right_by="R. Askew, Askew Electrical",
        evidence="New socket; Zs 0.63 Ω measured again",
    )  # fmt: skip
    ObservationFactory(
        **seen, text="Blank missing", code="C1", action_on_day="Fitted", client_warned_on=date(2026, 11, 3),
        put_right_on=date(2026, 11, 3), put_right_by="Idris Penhale",
    )  # fmt: skip
    ObservationFactory(
        **seen, text="Clamp loose", code="C2", put_right_on=date(2026, 12, 24), put_right_by="R. Askew"
    )
    return inspection


def test_put_right_stands_in_the_order_of_days_and_open_ones_by_urgency(inspection):
    told = remedial(inspection, ON)
    assert [one.text for one in told.put_right] == ["Blank missing", "Socket broken"]
    assert [(one.code, one.text) for one in told.still_open] == [
        ("C2", "Clamp loose"), ("C3", "List of circuits out of date"),
    ]  # fmt: skip


def test_what_is_put_right_later_than_the_day_is_still_open(inspection):
    assert {one.text for one in remedial(inspection, date(2026, 12, 24)).put_right} >= {"Clamp loose"}


def test_who_when_and_what_shows_it_are_printed(inspection):
    printed = all_text(remedial_pdf(remedial(inspection, ON)))
    for said in (
        "Socket broken", "DB1/4, Garage", "20 Nov 2026", "R. Askew, Askew Electrical",
        "New socket; Zs 0.63 Ω measured again",
        "2 observations put right, 2 observations still open.", "Clamp loose", "1 Dec 2026",
    ):  # fmt: skip
        assert squeezed(said) in printed
    assert "Idris Penhale …" in " ".join(page_texts(remedial_pdf(remedial(inspection, ON)))).replace(
        "\n", " "
    )


def test_nothing_to_put_right_is_said():
    printed = "".join(page_texts(remedial_pdf(remedial(InspectionFactory(), ON))))
    assert "so nothing was to be put right" in printed
    assert "Nothing stays open." in printed


def test_same_record_and_day_give_the_same_bytes(inspection):
    told = remedial(inspection, ON)
    assert remedial_pdf(told) == remedial_pdf(remedial(inspection, ON))
