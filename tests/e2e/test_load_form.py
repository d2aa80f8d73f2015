"""The form of a load in a real browser, at the size of a phone."""

import pytest
from django.urls import reverse

from remedies.models import ParallelLoad
from tests.factories import CircuitFactory, LoadPresetFactory, MemberFactory

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def circuit():
    return CircuitFactory()


@pytest.fixture
def phone(page, sign_in, circuit):
    firm = circuit.board.installation.client.firm
    LoadPresetFactory(firm=firm, name="X2 at lamp", capacitor_class="X2", capacitance_uf="0.1")
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, MemberFactory(firm=firm))
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
