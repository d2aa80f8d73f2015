"""The page of a reading explained, with and without what more is known."""

import pytest
from django.urls import reverse

from remedies.enums import LoadKind, LoadState
from remedies.physics import parts
from tests.factories import CircuitFactory, CircuitResultFactory, InstrumentFactory


@pytest.fixture
def low(place):
    """0.42 MΩ on a circuit across which nothing is registered."""
    circuit = CircuitFactory(board=place.board, way="4", description="Boiler")
    return CircuitResultFactory(
        inspection=place.inspection, circuit=circuit, ir_live_live="0.42", ir_voltage_v=500
    )


@pytest.fixture
def page_of(browse, low):
    def page(**asked):
        return browse.get(reverse("reading_explained", args=[low.circuit_id]), asked)

    return page


def asked(**more):
    return {"settling": "not watched", "settled_after_s": "", "second": "", "second_v": "", **more}


def test_a_reading_is_shown_beside_what_each_voltage_should_give(page_of):
    page = page_of()

    expected = page.context["expected"]
    assert [one.volts for one, _ in expected] == [250, 500, 1000]
    assert [str(shown) for _, shown in expected] == ["", "0.42", ""]
    assert "The register does not explain it: about 421 kΩ more is across" in page.text
    assert "Test again at 250 V" in page.text
    assert "Cable insulation: 500 V ÷" in page.text  # the working
    assert "prove dead with a proved two-pole" in page.text


def test_what_it_could_be_is_entered_as_suspected_in_two_steps(page_of, browse, low):
    page = page_of()
    addresses = dict(page.context["candidates"])
    assert addresses["poor insulation: damp, dirt, a damaged cable or accessory"] == ""

    form = browse.get(addresses["neon with series resistor"]).context["form"]

    assert (form["kind"].value(), form["known"].value()) == ("neon", "suspected")
    assert form["reason"].value() == "Live-live 0.42 MΩ at 500 V is not explained by the register"

    browse.post(
        addresses["neon with series resistor"],
        {
            "kind": "neon",
            "count": "1",
            "known": "suspected",
            "place": "Boiler cupboard",
            "since": "2026-11-03",
            "connection": "L-N",
            "reason": form["reason"].value(),
        },
    )
    (load,) = low.circuit.parallel_loads.all()
    assert (load.state, load.kind, load.inspection) == (LoadState.SUSPECTED, LoadKind.NEON, low.inspection)


def test_a_second_reading_tells_a_neon_from_a_resistor(page_of):
    """A neon of 350 kΩ that shows 0.42 MΩ at 500 V shows 250 ÷ (180 ÷ 361 kΩ) = 0.50 MΩ at 250 V."""
    tester = InstrumentFactory.build(insulation_current_ma=15)
    page = page_of(**asked(second="0.50", second_v="250", current_ma=str(tester.insulation_current_ma)))

    shares = page.context["reading"].explanation.shares
    assert shares[0].law.value == "a neon"
    assert [str(shown) for _, shown in page.context["expected"]] == ["0.50", "0.42", ""]


def test_what_climbed_is_a_capacitor(page_of):
    page = page_of(**asked(settling="climbed", settled_after_s="2"))

    assert "It climbed: an unregistered capacitor may be across, about" in page.text


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"second": "0,5", "second_v": "250"}, "“0,5” has a comma. Type a point: 0.5"),
        (
            {"second": "LIM", "second_v": "1000"},
            "“LIM” is not a value. Type what the tester showed, such as 0.42.",
        ),
        ({"second": "0.5"}, "Say at which voltage it was taken."),
        ({"second": "0.5", "second_v": "500"}, "The first was taken at 500 V too."),
        ({"current_ma": "40"}, "less than or equal to 15"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_stays(page_of, typed, message):
    page = page_of(**asked(**typed))

    assert message in page.text.replace("&#x27;", "’")
    assert all(str(page.context["form"][name].value()) == text for name, text in typed.items())
    assert "The register does not explain it" in page.text


def test_the_tester_of_the_visit_is_taken_unless_another_is_chosen(page_of, place, low):
    weak = InstrumentFactory(firm=place.member.firm, insulation_current_ma=1, insulation_range_top_mohm=999)
    low.inspection.instruments.set([weak])

    assert page_of().context["form"].initial["tester"] == weak
    assert "At the current limit it was taken at about 420 V" in page_of().text
    assert "At the current limit it was" not in page_of(**asked(tester=str(weak.pk), current_ma="10")).text


def test_an_instrument_of_another_firm_is_no_choice(page_of):
    stranger = InstrumentFactory()

    page = page_of(**asked(tester=str(stranger.pk)))

    assert stranger.serial not in page.text
    assert page.context["form"].errors["tester"]


def test_the_visit_asked_for_is_the_one_explained(page_of, place, low):
    later = CircuitResultFactory(
        circuit=low.circuit, inspection__installation=place.installation, ir_live_live=">200",
        inspection__started_on="2026-11-20",
    )  # fmt: skip

    assert page_of().context["result"] == later
    assert page_of(inspection=low.inspection_id).context["result"] == low
    assert "No live-live value was measured at that visit" in page_of(inspection="9999").text


def test_without_a_reading_the_expected_ones_still_stand(browse, place):
    page = browse.get(reverse("reading_explained", args=[place.circuit.pk]))

    assert "No live-live value was measured at any visit yet" in page.text
    assert page.context["loads"] == [place.load]
    assert page.context["expected"][1][0].high_mohm < 1


def test_a_load_out_at_the_test_is_named_as_out(browse, place):
    CircuitResultFactory(inspection=place.inspection, circuit=place.circuit, ir_live_live=">200")
    address = reverse("load_disconnect", args=[place.load.pk])
    browse.post(address, {"on": place.inspection.started_on.isoformat()})

    page = browse.get(reverse("reading_explained", args=[place.circuit.pk]))

    assert page.context["loads"] == []
    assert "Assumed to be out of it" in page.text


def test_the_grid_leads_to_the_explanation(browse, place, low):
    page = browse.get(reverse("results_grid", args=[low.inspection_id, place.board.pk])).text

    assert f"{reverse('reading_explained', args=[low.circuit_id])}?inspection={low.inspection_id}" in page


@pytest.mark.parametrize("kind", parts.Kind)
def test_every_candidate_has_a_kind_of_the_register(kind):
    from remedies.bridge import load_kind

    assert load_kind(kind) in LoadKind
