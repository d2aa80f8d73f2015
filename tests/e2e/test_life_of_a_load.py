"""The whole life of a load, on a phone: found at one inspection and labelled, disconnected and put back at
the next, taken out, and the label done anew."""

import re
from datetime import date

import pytest
from django.urls import reverse

from inspections.models import CircuitResult, Inspection
from inspections.services.record import save_record
from remedies.enums import LoadState
from remedies.models import BoardLabel, ParallelLoad
from tests.factories import BoardFactory, CircuitFactory, InspectionFactory, InstallationFactory

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]

NAMED = "3: neon 220 kΩ, Foyer switch"
NO_LOADS = "No loads are known to be left across its circuits."


@pytest.fixture
def circuit():
    installation = InstallationFactory(name="Larkfield Hall")
    return CircuitFactory(
        board=BoardFactory(installation=installation, designation="DB1"), way="3", description="Foyer lights"
    )


@pytest.fixture
def first_visit(circuit):
    return InspectionFactory(installation=circuit.board.installation, started_on=date(2021, 5, 4))


@pytest.fixture
def phone(page, sign_in, first_visit):
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, first_visit.inspector)
    return page


def read(visit, circuit, live_live):
    """The reading of the circuit, as the grid keeps it."""
    result = CircuitResult(inspection=visit, circuit=circuit, ir_live_live=live_live, ir_voltage_v=500)
    result.full_clean()
    save_record(result, member=visit.inspector)


def make_and_stick_the_label(phone, board):
    phone.goto(reverse("board_label", args=[board.pk]))
    phone.get_by_label("Label stock").select_option("a4-2x4")
    phone.get_by_label("Places already used").fill("3")
    with phone.expect_download():
        phone.get_by_role("button", name="Print the label").click()
    link = phone.get_by_role("link", name="label of DB1, PDF")
    file = phone.request.get(phone.evaluate("location.origin") + link.get_attribute("href"))
    assert file.body().startswith(b"%PDF")
    assert "skip=3" in link.get_attribute("href")
    phone.get_by_role("button", name="It is stuck at the board").click()
    phone.get_by_text("is up to date").first.wait_for()


def test_a_load_from_found_to_taken_out_and_the_label_that_follows_it(phone, circuit, first_visit):
    board, place = circuit.board, circuit.board.installation
    read(first_visit, circuit, "0.26")

    # Found at the first inspection: the reading is not explained, and what is found is recorded from there.
    phone.goto(reverse("reading_explained", args=[circuit.pk]))
    assert phone.get_by_text("The register does not explain it").is_visible()
    phone.get_by_role("link", name=re.compile("neon with series resistor")).click()
    phone.get_by_label("How many").fill("1")
    phone.get_by_label("Found there").check()
    phone.fill("#id_resistance_ohm", "220k")
    phone.fill("#id_place", "Foyer switch")
    phone.get_by_role("button", name="Save").click()
    phone.wait_for_url(re.compile(r"/loads/\d+/$"))
    load = ParallelLoad.objects.get()
    assert (load.resistance_ohm, load.state, load.inspection) == (220_000, LoadState.IN_PLACE, first_visit)
    phone.goto(reverse("reading_explained", args=[circuit.pk]))
    assert phone.get_by_text("The register explains it").is_visible()

    # Labelled.
    phone.goto(reverse("board", args=[board.pk]))
    assert phone.get_by_text("There is no label at this board yet: print one.").is_visible()
    make_and_stick_the_label(phone, board)
    assert NAMED in BoardLabel.objects.get().text

    # Disconnected and put back at the second inspection.
    phone.goto(reverse("inspection_start", args=[place.pk]))
    phone.get_by_role("button", name="Begin the visit").click()
    phone.get_by_text("Visit begun:").first.wait_for()
    second_visit = Inspection.objects.exclude(pk=first_visit.pk).get()
    phone.goto(reverse("before_you_test", args=[board.pk]))
    phone.get_by_role("button", name="It is disconnected").click()
    shout = phone.get_by_text("Not put back: 1 load disconnected for a test")
    shout.wait_for()
    for name, row in (("board", board), ("inspection", second_visit)):
        phone.goto(reverse(name, args=[row.pk]))
        assert shout.is_visible()
    read(second_visit, circuit, ">200")
    phone.goto(reverse("before_you_test", args=[board.pk]))
    phone.get_by_role("button", name="It is put back").click()
    phone.get_by_role("button", name="It is disconnected").wait_for()
    assert shout.count() == 0
    phone.goto(reverse("reading_explained", args=[circuit.pk]))  # it was out, so >200 MΩ is as it should be
    assert phone.get_by_text("The reading is that of sound insulation").is_visible()
    assert phone.get_by_text("Assumed to be out of it").is_visible()

    # Taken out: the label is out of date wherever it is spoken of.
    phone.goto(reverse("load", args=[load.pk]))
    phone.get_by_role("link", name="Take out for good").click()
    phone.get_by_role("button", name="It is taken out").click()
    phone.wait_for_url(f"**/loads/{load.pk}/")
    load.refresh_from_db()
    assert (load.state, load.taken_out_by) == (LoadState.TAKEN_OUT, first_visit.inspector.name)
    for name, row in (("board", board), ("board_label", board), ("loads", place)):
        phone.goto(reverse(name, args=[row.pk]))
        assert phone.get_by_text("is out of date: print a new one").first.is_visible()
    phone.goto(reverse("firm_loads") + "?state=all")
    assert phone.get_by_role("link", name=re.compile("out of date.*DB1")).is_visible()

    # The label done anew.
    make_and_stick_the_label(phone, board)
    assert NO_LOADS in BoardLabel.objects.order_by("printed_at").last().text
    phone.goto(reverse("board", args=[board.pk]))
    assert phone.get_by_text("is up to date").is_visible()


def test_the_explanation_follows_what_is_typed_without_a_button(phone, circuit, first_visit):
    read(first_visit, circuit, "0.42")
    phone.goto(reverse("reading_explained", args=[circuit.pk]))

    phone.get_by_label("climbed", exact=True).check()
    phone.get_by_text("It climbed: an unregistered capacitor may be across").wait_for()
    phone.get_by_label("Second reading (MΩ)").fill("0.49")
    phone.get_by_label("Taken at").select_option("250")

    phone.get_by_text("Of the two readings: a neon").wait_for()
    assert phone.get_by_label("Second reading (MΩ)").input_value() == "0.49"
    assert "second=0.49" in phone.url  # so that it can be kept, and sent on
