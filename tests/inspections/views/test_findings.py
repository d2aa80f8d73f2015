"""Findings of a visit, and observations made from them."""

from datetime import date
from urllib.parse import parse_qs, urlsplit

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.enums import InspectionStatus
from inspections.models import Observation
from tests.factories import CircuitFactory, CircuitResultFactory, InstrumentFactory, MemberFactory

# 230 × 0.95 ÷ (5 × 32) = 1.37 Ω: BS 7671:2018+A2:2022 Table 41.3, type B, 32 A.
DEVICE = {
    "device_standard": "BS EN 60898",
    "device_type": "B",
    "device_rating_a": "32",
    "live_csa_mm2": "2.5",
}
READINGS = {
    "r1_r2": "0.40", "ir_voltage_v": 500, "ir_live_live": ">200", "ir_live_earth": ">200", "polarity": "✓",
}  # fmt: skip


@pytest.fixture
def over_limit(place):
    """A circuit of which one reading is out of limit."""
    place.observation.delete()
    circuit = CircuitFactory(board=place.board, way="5", description="Kitchen sockets", **DEVICE)
    CircuitResultFactory(inspection=place.inspection, circuit=circuit, zs="1.52", **READINGS)
    return circuit


@pytest.fixture
def address(place):
    return reverse("findings", args=[place.inspection.pk])


def offer(response, circuit):
    """The address that the worst finding of a circuit offers for its observation."""
    start = reverse("observation_add", args=[response.context["inspection"].pk]) + "?"
    offered = [
        f"{start}{item.observation_query}"
        for _, found in response.context["groups"]
        for item, _, _ in found
        if item.circuit == circuit
    ]
    assert offered[0].replace("&", "&amp;") in response.content.decode()
    return offered[0]


def test_finding_shows_its_working_and_its_source(inside, address, over_limit):
    page = inside.get(address).content.decode()

    assert "Zs 1.52 Ω is above 1.37 Ω." in page
    assert "230 × 0.95 ÷ (5 × 32) = 1.37 Ω" in page
    assert "411.4.4" in page or "Table 41.3" in page


def test_observation_made_from_a_finding_is_filled_in_but_for_its_code(place, inside, address, over_limit):
    add = offer(inside.get(address), over_limit)

    form = inside.get(add).context["form"]

    assert "1.52 Ω" in form["text"].value()
    assert form["circuit"].value() == str(over_limit.pk)
    assert form["board"].value() == str(place.board.pk)
    assert not form["code"].value()
    regulation = parse_qs(urlsplit(add).query).get("regulation", [""])[0]
    assert form["regulation"].value() == regulation


def test_observation_once_saved_leads_back_and_the_finding_says_so(place, inside, address, over_limit):
    add = offer(inside.get(address), over_limit)

    response = inside.post(
        add, {"text": "Loop too high, as measured", "circuit": over_limit.pk, "code": "C2"}
    )

    assert response.url == address
    page = inside.get(address).content.decode()
    assert "Observation recorded" in page
    assert reverse("observation_change", args=[Observation.objects.get().pk]) in page
    assert add.replace("&", "&amp;") not in page


def test_same_finding_of_another_circuit_is_not_taken_for_done(place, inside, address, over_limit):
    inside.post(offer(inside.get(address), over_limit), {"text": "Loop too high", "circuit": over_limit.pk})
    other = CircuitFactory(board=place.board, way="6", **DEVICE)
    CircuitResultFactory(inspection=place.inspection, circuit=other, zs="1.52", **READINGS)

    response = inside.get(address)

    made = {
        item.circuit: observation
        for _, found in response.context["groups"]
        for item, observation, _ in found
        if item.finding.code == "zs-over-limit"
    }
    assert made == {over_limit: Observation.objects.get(), other: None}


def test_bad_input_of_an_observation_from_a_finding_is_kept(inside, address, over_limit, errors_of):
    add = offer(inside.get(address), over_limit)

    response = inside.post(add, {"text": "Loop too high", "circuit": over_limit.pk, "code": "C1"})

    assert list(errors_of(response)) == ["__all__"]
    assert "Loop too high" in response.content.decode()
    assert not Observation.objects.exists()


def test_origin_that_no_check_knows_is_not_kept(place, inside):
    place.observation.delete()
    add = reverse("observation_add", args=[place.inspection.pk])

    for made_from in ("finding no-such-code zs", "visual no-such-item", "elsewhere"):
        response = inside.post(f"{add}?made_from={made_from}", {"text": "Cover loose"})
        assert response.url == reverse("inspection", args=[place.inspection.pk])

    assert set(Observation.objects.values_list("made_from", flat=True)) == {""}


def test_outcome_follows_the_codes_given_and_not_the_findings(place, inside, address, over_limit):
    assert inside.get(address).context["outcome"].satisfactory is True

    Observation.objects.create(inspection=place.inspection, text="Loop too high", circuit=over_limit)
    waiting = inside.get(address)
    assert waiting.context["outcome"].satisfactory is True
    assert "1 has no code yet" in waiting.content.decode()

    Observation.objects.update(code="C2")
    page = inside.get(address).content.decode()
    assert "Unsatisfactory: C2 once." in page


def test_what_is_missing_is_said_by_column_headings_once_a_circuit(place, inside, address):
    place.circuit.delete()
    ring = CircuitFactory(board=place.board, way="7", arrangement="ring", rcd_residual_ma="30", **DEVICE)
    CircuitResultFactory(
        inspection=place.inspection,
        circuit=ring,
        r1_r2="0.40", ir_live_live=">200", ir_live_earth="N/A", polarity="✓", rcd_trip_ms="LIM",
    )  # fmt: skip
    place.inspection.limitations.all().delete()

    ((circuit, words),) = inside.get(address).context["incomplete"]

    assert circuit == ring
    assert words == [
        "r1, rn, r2, Test V, Zs, RCD button missing",
        "LIM without a limitation: RCD time",
        "N/A though it applies: Live-earth",
    ]


def test_details_missing_are_named_by_what_they_are(place, inside, address):
    (words,) = [words for _, words in inside.get(address).context["incomplete"]]

    assert any(
        "Standard of the protective device".lower() in phrase and "circuit details" in phrase
        for phrase in (phrase.lower() for phrase in words)
    )


def test_visit_says_which_edition_it_was_held_to(inside, address):
    assert "held to BS 7671:2018+A2:2022" in inside.get(address).content.decode()


def test_instrument_is_held_to_the_last_day_of_the_visit(place, inside, address):
    place.inspection.finished_on = date(2026, 11, 5)
    place.inspection.save()
    tester = InstrumentFactory(firm=place.member.firm, calibrated_until=date(2026, 11, 4))
    place.inspection.instruments.set([tester])

    assert f"{tester.serial} was calibrated until 4 Nov 2026" in inside.get(address).content.decode()


def test_visit_in_review_offers_no_observation(place, inside, address, over_limit):
    place.inspection.status = InspectionStatus.IN_REVIEW
    place.inspection.save()

    page = inside.get(address).content.decode()

    assert "Zs 1.52 Ω is above 1.37 Ω." in page
    assert "Record an observation" not in page


def test_stranger_finds_nothing(browser_of, address):
    assert browser_of(MemberFactory()).get(address).status_code == 404


def test_unsigned_is_sent_to_sign_in(client, address):
    assert client.get(address).url == f"{reverse('account_login')}?next={address}"


def test_number_of_queries_does_not_grow_with_the_circuits(place, inside, address):
    def queries_with_circuits(*ways):
        for way in ways:
            circuit = CircuitFactory(board=place.board, way=way, **DEVICE)
            CircuitResultFactory(inspection=place.inspection, circuit=circuit, zs="1.52", **READINGS)
            Observation.objects.create(
                inspection=place.inspection,
                text="Loop too high",
                board=place.board,
                circuit=circuit,
                made_from="finding zs-over-limit zs",
            )
        with CaptureQueriesContext(connection) as asked:
            inside.get(address)
        return len(asked)

    assert queries_with_circuits("20") == queries_with_circuits("21", "22")
