"""From a lamp that glows when off to a remedy in the register, typed and clicked as a person would."""

import re

import pytest
from django.urls import reverse

from inspections.enums import Measures
from remedies.before_test import before_test
from remedies.labels import label_status
from remedies.models import GlowWorksheet, ParallelLoad
from tests.factories import CircuitFactory, InstrumentFactory, MemberFactory

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def circuit():
    return CircuitFactory(way="5", description="Landing lights")


@pytest.fixture
def member(circuit):
    firm = circuit.board.installation.client.firm
    for serial, ohm in (("HIGH", 10_000_000), ("LOW", 300_000)):
        InstrumentFactory(firm=firm, serial=serial, measures=Measures.VOLTAGE, input_resistance_ohm=ohm)
    return MemberFactory(firm=firm)


def open_case(page, circuit):
    page.goto(reverse("circuit", args=[circuit.pk]))
    page.get_by_role("link", name="Lamps glow when off?").click()
    page.get_by_label("What is complained of").fill("Landing lamps glow at night")
    page.get_by_role("button", name="Open the worksheet").click()
    page.wait_for_url("**/glow/*/")


def answer(page, words):
    with page.expect_response("**/part/"):
        page.locator(".answers button", has_text=words).first.click()


def take_readings(page, high, low):
    for number, (volts, meter) in enumerate(((high, "HIGH"), (low, "LOW"))):
        page.locator(f"#id_reading{number}-volts").fill(volts)
        field = page.locator(f"#id_reading{number}-instrument")
        field.select_option(label=field.locator("option", has_text=meter).inner_text())


def test_from_symptom_to_register(page, sign_in, circuit, member):
    sign_in(page, member)
    open_case(page, circuit)
    answer(page, "Two-way or intermediate")
    answer(page, "It stays steady")
    page.locator(".beliefs li").first.get_by_text(re.compile(r"likely, \d+ %")).wait_for()

    take_readings(page, "100", "8")
    page.get_by_text("Coupled, as far as these readings go").wait_for()
    page.get_by_text("Your own part, to compare").click()
    page.locator("#id_own-kind").select_option("resistor")
    page.locator("#id_own-resistance_ohm").fill("390")
    page.locator("#id_own-rated_power_w").fill("0.25")
    page.get_by_text("Refused: 230² ÷ 390 Ω = 136 W in a 0.25 W part.").wait_for()

    page.get_by_role("radio", name="Suppression capacitor X2 0.1 µF 275 V", exact=True).check()
    page.locator("#glow-chosen", has_text="Chosen: Suppression capacitor X2 0.1 µF").wait_for()
    assert "X2 0.1 µF" in page.locator("#glow-drawings svg").first.get_attribute("aria-label")
    with page.expect_response("**/part/"):
        page.locator("#id_case-cause").select_option("coupling")
    with page.expect_response("**/part/"):  # the tests' database answers one at a time
        page.locator("#id_fit-place").fill("Above the landing rose")
    page.get_by_role("button", name="Fit it and register it").click()

    page.get_by_role("heading", name="Suppression capacitor X2 0.1 µF 275 V").wait_for()
    load = ParallelLoad.objects.get()
    assert (load.in_brief(), load.place) == ("X2 0.1 µF", "Above the landing rose")
    assert label_status(circuit.board).is_out_of_date
    (told,) = before_test(circuit.board, on=load.since).circuits
    assert [one.what for one in told.loads] == ["X2 0.1 µF"]
    page.get_by_role("link", name="the glow worksheet behind it").click()
    page.get_by_text("Kept as it was then").wait_for()


def test_a_live_conductor_and_nonsense_are_told_while_typing_and_the_cursor_stays(
    page, sign_in, circuit, member
):
    sign_in(page, member)
    open_case(page, circuit)
    take_readings(page, "230", "228")
    page.get_by_text("Stop. Treat it as live. Find the fault.").wait_for()
    assert page.get_by_role("radio", name="Suppression capacitor").count() == 0
    field = page.locator("#id_reading0-volts")
    field.fill("")
    field.press_sequentially("10 kV")
    page.locator("#id_reading0-volts_said", has_text="10 kV is outside 0 V to 1 kV").wait_for()
    assert page.evaluate("document.activeElement.id") == "id_reading0-volts"
    page.get_by_role("button", name="Save the worksheet").click()
    page.get_by_role("heading", name="Not all of it can be kept").wait_for()
    assert page.locator("#id_reading0-volts").input_value() == "10 kV"
    assert GlowWorksheet.objects.get().readings == []


def test_by_keyboard_the_next_question_takes_the_focus(page, sign_in, circuit, member):
    sign_in(page, member)
    open_case(page, circuit)
    first = page.locator(".answers button").first
    asked = page.locator("#ask").inner_text()
    first.focus()
    with page.expect_response("**/part/"):
        page.keyboard.press("Enter")
    page.wait_for_function("(before) => document.querySelector('#ask').innerText !== before", arg=asked)
    assert page.evaluate("document.activeElement.closest('.answers') !== null")
