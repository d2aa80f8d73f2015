"""From a reading out of limit to an outcome with its reason, and the visual items by keyboard alone."""

import pytest
from django.urls import reverse

from inspections.models import Observation
from inspections.rules import visual
from tests.factories import BoardFactory, CircuitFactory, InspectionFactory

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def board():
    return BoardFactory(designation="DB1")


@pytest.fixture
def inspection(board):
    return InspectionFactory(installation=board.installation)


@pytest.fixture
def signed_in(page, sign_in, inspection):
    sign_in(page, inspection.inspector)
    return page


def test_reading_out_of_limit_becomes_an_observation_and_decides_the_outcome(signed_in, inspection, board):
    # 1.37 Ω for type B, 32 A: BS 7671:2018+A2:2022 Table 41.3.
    circuit = CircuitFactory(
        board=board, way="1", device_standard="BS EN 60898", device_type="B", device_rating_a=32
    )
    page = signed_in
    page.goto(reverse("results_grid", args=[inspection.pk, board.pk]))
    page.locator(f'[name="{circuit.pk}.zs"]').focus()
    page.keyboard.type("1.52")
    page.keyboard.press("Enter")
    page.locator(f"#row-{circuit.pk} .notes").get_by_text("Zs 1.52 Ω is above 1.37 Ω.").wait_for()

    page.get_by_role("link", name="Findings", exact=True).click()
    said = page.inner_text("main")
    assert "No outcome yet: 1 finding out of limit or at odds has no observation." in said
    page.locator("tr", has_text="Zs 1.52 Ω is above 1.37 Ω.").get_by_role(
        "link", name="Record an observation"
    ).click()

    assert "1.52 Ω" in page.input_value("#id_text")
    assert page.input_value("#id_code") == ""
    page.select_option("#id_code", "C2")
    page.get_by_role("button", name="Save").click()

    main = page.locator("main")
    main.get_by_text("Unsatisfactory: C2 once.").wait_for()
    assert page.url.endswith(reverse("findings", args=[inspection.pk]))
    assert "Observation recorded" in page.locator("tr", has_text="Zs 1.52 Ω is above 1.37 Ω.").inner_text()
    assert Observation.objects.get().circuit == circuit


def test_visual_items_are_answered_by_keyboard_alone(signed_in, inspection):
    page = signed_in
    first, second, third, fourth, fifth = (item.key for item in visual.areas()[0].items[:5])
    page.goto(reverse("visual_items", args=[inspection.pk]))
    page.get_by_role("button", name="Save", exact=True).focus()
    while page.evaluate("document.activeElement.name") != f"{first}.outcome":
        page.keyboard.press("Tab")

    page.keyboard.press("y")
    page.keyboard.press("2")
    page.keyboard.type("Seal broken")
    page.keyboard.press("Enter")
    page.keyboard.press("n")
    page.keyboard.press("ArrowDown")  # the fourth stays unanswered
    page.keyboard.press("v")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("0")  # and an answer is taken back
    assert page.inner_text("#visual-said") == "3 items not saved yet"
    page.get_by_role("button", name="Save", exact=True).focus()
    page.keyboard.press("Enter")
    page.get_by_text("3 items saved.").first.wait_for()

    kept = {row.item: (row.outcome, row.remark) for row in inspection.visual_outcomes.all()}
    assert kept == {first: ("✓", ""), second: ("C2", "Seal broken"), third: ("N/A", "")}
    total = sum(len(area.items) for area in visual.areas())
    assert f"3 of {total} answered" in page.inner_text("main")
    assert {page.is_checked(f'[name="{key}.outcome"][value=""]') for key in (fourth, fifth)} == {True}

    page.get_by_role("link", name="Record an observation").first.focus()
    page.keyboard.press("Enter")
    page.locator("#id_code").wait_for()
    assert page.input_value("#id_code") == "C2"
    assert "Seal broken" in page.input_value("#id_text")
