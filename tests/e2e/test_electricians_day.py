"""The electrician at the board, on a phone: a load found and recorded, the label printed and stuck."""

import re

import pytest
from django.urls import reverse

from inspections.enums import Role
from remedies.models import BoardLabel, ParallelLoad
from tests.e2e.hands import Hands
from tests.factories import BoardFactory, CircuitFactory, InstallationFactory, MemberFactory

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def circuit():
    board = BoardFactory(installation=InstallationFactory(name="Larkfield Hall"), designation="DB1")
    return CircuitFactory(board=board, way="3", description="Foyer lights")


def test_a_load_found_is_recorded_in_eight_taps_and_the_label_printed_in_two(page, sign_in, circuit):
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, MemberFactory(firm=circuit.board.installation.firm, role=Role.ELECTRICIAN))
    hands = Hands(page)

    hands.begin_at(reverse("board", args=[circuit.board_id]))
    hands.tap_link("3")
    hands.tap_link("Record a load")
    hands.choose("What it is", "Suppression capacitor")
    hands.tap(page.locator("#id_capacitance_uf"))
    hands.type("100n")
    hands.tap(page.locator("#id_place"))
    hands.type("Foyer switch")
    hands.tap_button("^Save$")
    page.wait_for_url(re.compile(r"/loads/\d+/$"))
    assert hands.taps <= 8
    assert hands.keys == len("100n" + "Foyer switch")
    assert hands.seconds < 30
    load = ParallelLoad.objects.get()
    assert (load.circuit, str(load.capacitance_uf), load.place) == (circuit, "0.1000", "Foyer switch")

    hands.begin_at(reverse("board", args=[circuit.board_id]))
    hands.tap_link("Label")
    with page.expect_download() as download:
        hands.tap_button("Print the label")
    assert hands.taps == 2
    assert download.value.path().read_bytes().startswith(b"%PDF")
    hands.tap_button("It is stuck at the board")
    page.get_by_text("is up to date").first.wait_for()
    assert hands.taps == 3
    assert hands.keys == 0
    assert "Foyer switch" in BoardLabel.objects.get(stuck_on__isnull=False).text
