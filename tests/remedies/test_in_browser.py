"""The life of a load in a real browser, at the size of a phone."""

import re

import pytest
from django.urls import reverse

from remedies.enums import LoadState
from remedies.models import BoardLabel, ParallelLoad
from tests.factories import (
    PASSWORD,
    BoardFactory,
    CircuitFactory,
    InspectionFactory,
    InstallationFactory,
    LoadPresetFactory,
    MemberFactory,
)

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def circuit():
    member = MemberFactory(email="dyer@example.com", name="A. Dyer")
    installation = InstallationFactory(client__firm=member.firm, name="Larkfield Hall")
    InspectionFactory(installation=installation, inspector=member)
    LoadPresetFactory(firm=member.firm, name="X2 at lamp", capacitor_class="X2", capacitance_uf="0.1")
    return CircuitFactory(board=BoardFactory(installation=installation, designation="DB1"), way="3")


@pytest.fixture
def phone(page, circuit):
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(reverse("sign_in"))
    page.get_by_label("E-mail address").fill("dyer@example.com")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/")
    return page


def visible_values(page):
    """Labels of the electrical values in sight."""
    fields = page.locator("#div_id_kind, #div_id_count").first.locator("xpath=ancestor::fieldset")
    return [text.strip() for text in fields.locator("label:visible").all_inner_texts()][2:]


def test_the_form_shows_only_what_matters_to_the_kind(phone, circuit):
    phone.goto(reverse("load_add", args=[circuit.pk]))
    assert visible_values(phone) == []

    phone.select_option("#id_kind", "surge")
    assert visible_values(phone) == ["Continuous voltage Uc (V)"]
    phone.select_option("#id_kind", "transformer")
    assert visible_values(phone) == ["Winding resistance (Ω)", "Rating (VA)"]


def test_a_preset_fills_the_form_and_keeps_what_was_typed(phone, circuit):
    phone.goto(reverse("load_add", args=[circuit.pk]))
    phone.fill("#id_place", "Pantry ceiling")
    phone.select_option("#preset", label="X2 at lamp")

    assert phone.input_value("#id_kind") == "capacitor"
    assert phone.input_value("#id_capacitance_uf") == "0.1"
    assert phone.input_value("#id_place") == "Pantry ceiling"
    assert phone.locator("#id_photo").get_attribute("capture") == "environment"


def test_a_value_of_another_kind_already_recorded_stays_in_sight(phone, circuit):
    load = ParallelLoad.objects.create(
        circuit=circuit,
        kind="timer",
        rated_power_w=5,
        place="Loft",
        since="2026-11-03",
        state_since="2026-11-03",
    )
    phone.goto(reverse("load_change", args=[load.pk]))
    phone.fill("#id_place", "Loft hatch")
    phone.get_by_role("button", name="Save").click()
    phone.wait_for_url(f"**/loads/{load.pk}/")

    load.refresh_from_db()
    assert (load.place, load.rated_power_w) == ("Loft hatch", 5)


def test_the_whole_life_from_found_to_taken_out(phone, circuit):
    phone.goto(reverse("load_add", args=[circuit.pk]))
    phone.select_option("#id_kind", "neon")
    phone.fill("#id_resistance_ohm", "220k")
    phone.fill("#id_place", "Foyer switch")
    phone.get_by_role("button", name="Save").click()
    phone.wait_for_url(re.compile(r"/loads/\d+/$"))
    load = ParallelLoad.objects.get()
    assert (load.resistance_ohm, load.state) == (220_000, LoadState.IN_PLACE)

    label = reverse("board_label", args=[circuit.board_id])
    phone.goto(label)
    phone.get_by_role("button", name="It is printed").click()
    phone.get_by_role("button", name="It is stuck at the board").click()
    phone.get_by_text("is up to date").first.wait_for()
    assert "3: neon 220 kΩ, Foyer switch" in BoardLabel.objects.get().text

    phone.goto(reverse("before_you_test", args=[circuit.board_id]))
    phone.get_by_role("button", name="It is disconnected").click()
    phone.get_by_text("Not put back: 1 load disconnected for a test").wait_for()
    phone.get_by_role("button", name="It is put back").click()
    phone.get_by_role("button", name="It is disconnected").wait_for()
    assert phone.get_by_text("Not put back").count() == 0

    phone.goto(reverse("load", args=[load.pk]))
    phone.get_by_role("link", name="Take out for good").click()
    phone.get_by_role("button", name="Save").click()
    phone.wait_for_url(f"**/loads/{load.pk}/")
    load.refresh_from_db()
    assert (load.state, load.taken_out_by) == (LoadState.TAKEN_OUT, "A. Dyer")

    phone.goto(label)
    assert phone.get_by_text("is out of date: print a new one").is_visible()
