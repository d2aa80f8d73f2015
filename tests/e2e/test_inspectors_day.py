"""The inspector's evening: the visit opened, a board typed in from paper, the report issued."""

import re

import pytest
from django.urls import reverse

from inspections.models import CircuitResult
from reports.models import IssuedRecord
from tests.e2e.hands import Hands
from tests.factories import BoardFactory, CircuitFactory, InstallationFactory
from tests.reports.ready import ready_inspection, supervisor_of

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]

RCD = {"rcd_standard": "BS EN 61008", "rcd_type": "A", "rcd_residual_ma": 30}
# A dwelling's board: what each way serves, its device's rating, live and cpc csa. Common practice, no source.
WAYS = [
    ("Ring, ground floor", 32, "2.5", "1.5"), ("Ring, first floor", 32, "2.5", "1.5"),
    ("Cooker", 32, "6", "2.5"), ("Shower", 40, "10", "4"), ("Immersion heater", 16, "2.5", "1.5"),
    ("Lights, ground floor", 6, "1.5", "1"), ("Lights, first floor", 6, "1.5", "1"),
    ("Smoke alarms", 6, "1.5", "1"), ("Boiler", 6, "1.5", "1"), ("Lights, outside", 6, "1.5", "1"),
    ("Garage", 16, "2.5", "1.5"), ("Bathroom fan", 6, "1.5", "1"),
]  # fmt: skip
# The paper sheet: a ring's ends, then R1+R2, test voltage, both insulation readings, polarity, Zs (Ze 0.20 +
# R1+R2), RCD time and button. A ring's R1+R2 is a quarter of r1 + r2.
RINGS = [("0.42", "0.42", "0.68"), ("0.50", "0.50", "0.82")]
R1_R2 = ["0.28", "0.33", "0.11", "0.08", "0.21", "0.84", "0.97", "0.55", "0.36", "0.62", "0.62", "0.71"]
ZS = ["0.48", "0.53", "0.31", "0.28", "0.41", "1.04", "1.17", "0.75", "0.56", "0.82", "0.82", "0.91"]
RCD_MS = ["22", "22", "24", "21", "23", "22", "25", "24", "22", "21", "23", "22"]
PAPER = [
    [*ring, r1_r2, "500", ">200", ">200", "✓", zs, ms, "✓"]
    for ring, r1_r2, zs, ms in zip([*RINGS, *[()] * 10], R1_R2, ZS, RCD_MS, strict=True)
]
ON_THE_KEYBOARD = {"✓": "y"}
VOLTAGE = "500"
EVERY_ROW = """(words) => [...document.querySelectorAll("[data-state]")]
    .every((row) => row.textContent.startsWith(words))"""


@pytest.fixture
def board():
    board = BoardFactory(installation=InstallationFactory(name="Larkfield Cottage"), designation="DB1")
    for way, (description, rating, live, cpc) in enumerate(WAYS, 1):
        CircuitFactory(
            board=board, way=str(way), description=description, live_csa_mm2=live, cpc_csa_mm2=cpc,
            arrangement="ring" if way <= 2 else "radial", device_standard="BS EN 60898", device_type="B",
            device_rating_a=rating, breaking_capacity_ka=6, **RCD,
        )  # fmt: skip
    return board


@pytest.fixture
def visit(board):
    return ready_inspection(board.installation)


def type_in(hands, paper):
    """The sheet from top to bottom. The voltage is written on every line of it, and typed in once."""
    for number, line in enumerate(paper):
        for text in line:
            if text == VOLTAGE and number:
                continue
            hands.type(ON_THE_KEYBOARD.get(text, text))
            hands.press("Tab")


def test_a_board_is_typed_in_with_no_key_more_than_its_readings_have_and_the_report_issued(
    page, sign_in, visit, board
):
    page.set_viewport_size({"width": 1440, "height": 900})
    sign_in(page, visit.inspector)
    hands = Hands(page)
    hands.begin_at(reverse("today"))
    hands.tap_link(re.compile("Larkfield Cottage"))
    hands.tap_link("Enter readings of DB1")
    first = board.circuits.order_by("sort_key").first()
    hands.tap(page.locator(f'[name="{first.pk}.r1"]'))
    type_in(hands, PAPER)

    budget = sum(len(text) + 1 for line in PAPER for text in line)
    assert hands.keys <= budget
    page.wait_for_function(EVERY_ROW, arg="saved")
    written = [
        [
            str(value)
            for name in ("r1", "rn", "r2", "r1_r2", "ir_voltage_v", "ir_live_live", "ir_live_earth",
                         "polarity", "zs", "rcd_trip_ms", "rcd_button")
            if (value := getattr(result, name))
        ]
        for result in CircuitResult.objects.order_by("circuit__sort_key")
    ]  # fmt: skip
    assert written == PAPER

    hands.tap(page.get_by_role("navigation", name="Where this is").get_by_role("link").last)
    hands.tap_link("Send for review")
    hands.tap_button("Send for review")
    page.locator(".report-state").get_by_text("A supervisor returns or issues it.").wait_for()
    assert hands.taps <= 6
    assert hands.pages <= 6

    sign_in(page, supervisor_of(visit))
    hands.begin_at(reverse("today"))
    hands.tap_link(re.compile("Larkfield Cottage"))
    hands.tap_link("Review it")
    hands.tap_button("^Issue$")
    page.get_by_role("heading", name="No. 1", exact=True).wait_for()
    assert hands.taps <= 3
    assert hands.keys == 0
    assert IssuedRecord.objects.get().inspection == visit


def test_the_same_board_column_by_column(page, sign_in, visit, board):
    """Enter goes down a test and on to the next, past what a circuit is not asked."""
    sign_in(page, visit.inspector)
    hands = Hands(page)
    hands.begin_at(reverse("results_grid", args=[visit.pk, board.pk]))
    circuits = list(board.circuits.order_by("sort_key"))
    page.locator(f'[name="{circuits[0].pk}.r2"]').focus()
    for text in [ring[2] for ring in RINGS] + R1_R2:
        hands.type(text)
        hands.press("Enter")
    page.wait_for_function(EVERY_ROW, arg="saved, ")
    assert hands.keys == sum(len(text) + 1 for text in [ring[2] for ring in RINGS] + R1_R2)
    results = CircuitResult.objects.order_by("circuit__sort_key")
    assert [result.r1_r2.text for result in results] == R1_R2
    assert [result.r2.text for result in results][:3] == ["0.68", "0.82", ""]
