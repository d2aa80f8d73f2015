"""The page of visual items."""

import pytest
from django.urls import reverse

from inspections.enums import InspectionStatus, Outcome
from inspections.models import VisualOutcome
from inspections.rules import visual
from tests.factories import MemberFactory, ObservationFactory, VisualOutcomeFactory

AREA = visual.areas()[0]
FIRST = AREA.items[0]


@pytest.fixture
def address(place):
    return reverse("visual_items", args=[place.inspection.pk])


def page_of(**answers):
    """A whole page as a browser sends it; ``answers`` by item, underscores for hyphens."""
    posted = {}
    for area in visual.areas():
        for item in area.items:
            given = answers.get(item.key.replace("-", "_"), ("", ""))
            posted[f"{item.key}.outcome"], posted[f"{item.key}.remark"] = given
            posted[f"{item.key}.seen_outcome"] = posted[f"{item.key}.seen_remark"] = ""
    return posted


def test_every_item_stands_under_its_area_with_its_regulation_number(inside, address):
    page = inside.get(address).content.decode()

    for area in visual.areas():
        assert area.name in page
        for item in area.items:
            assert f'name="{item.key}.outcome"' in page
            assert item.source.clause in page


def test_whole_page_is_saved_in_one_post_and_progress_counts_it(place, inside, address):
    response = inside.post(
        address, page_of(service_cable=("✓", ""), meter_tails=("C2", "16 mm²")), follow=True
    )

    page = response.content.decode()
    assert "2 items saved." in page
    assert f"2 of {sum(len(area.items) for area in visual.areas())} answered" in page
    assert VisualOutcome.objects.get(item="meter-tails").remark == "16 mm²"


def test_area_button_answers_the_rest_of_its_area_alone(place, inside, address):
    posted = page_of(service_cable=("C3", "")) | {"all_satisfactory": AREA.key}

    response = inside.post(address, posted)

    outcomes = dict(place.inspection.visual_outcomes.values_list("item", "outcome"))
    assert response.url == f"{address}#{AREA.key}"
    assert outcomes == {item.key: "✓" for item in AREA.items} | {"service-cable": "C3"}


def test_what_was_not_understood_is_kept_as_typed_and_the_rest_saved(place, inside, address):
    response = inside.post(address, page_of(service_cable=("LIM", ""), meter_tails=("", "16 mm² only")))

    page = response.content.decode()
    assert "LIM needs its limitation" in page
    assert 'value="16 mm² only"' in page
    assert not VisualOutcome.objects.exists()


def test_visit_in_review_refuses_the_page_and_keeps_what_was_typed(place, inside, address):
    place.inspection.status = InspectionStatus.IN_REVIEW
    place.inspection.save()

    response = inside.post(address, page_of(meter_tails=("C2", "16 mm² only")))

    page = response.content.decode()
    assert "no longer changes" in page
    assert 'value="16 mm² only"' in page
    assert not VisualOutcome.objects.exists()


def test_coded_item_offers_an_observation_with_its_text_code_and_regulation(place, inside, address):
    VisualOutcomeFactory(
        inspection=place.inspection, item=FIRST.key, outcome=Outcome.C2, remark="Sheath charred"
    )
    origin = f"visual {FIRST.key}"
    add = f"{reverse('observation_add', args=[place.inspection.pk])}?made_from=visual%20{FIRST.key}"
    assert add in inside.get(address).content.decode()

    form = inside.get(add).context["form"]
    filled = {name: form[name].value() for name in ("text", "code", "regulation")}
    response = inside.post(add, filled)

    assert filled["code"] == "C2"
    assert filled["regulation"] == FIRST.source.clause
    assert "Sheath charred" in filled["text"]
    assert FIRST.text in filled["text"]
    assert response.url == address
    assert place.inspection.observations.get(made_from=origin).code == "C2"
    page = inside.get(address).content.decode()
    assert "Observation recorded, C2" in page
    assert add not in page


@pytest.mark.parametrize("outcome", ["✓", "N/A", "N/V", "LIM"])
def test_item_without_a_code_offers_no_observation(place, inside, address, outcome):
    VisualOutcomeFactory(inspection=place.inspection, item=FIRST.key, outcome=outcome)

    assert "Record an observation" not in inside.get(address).content.decode()


def test_item_marked_lim_leads_to_a_limitation(place, inside, address):
    link = reverse("limitation_add", args=[place.inspection.pk])
    assert link not in inside.get(address).content.decode()

    VisualOutcomeFactory(inspection=place.inspection, item=FIRST.key, outcome=Outcome.LIM, remark="Locked")

    assert link in inside.get(address).content.decode()


def test_stranger_finds_nothing_and_writes_nothing(place, browser_of, address):
    stranger = browser_of(MemberFactory())

    assert stranger.get(address).status_code == 404
    assert stranger.post(address, page_of(service_cable=("✓", ""))).status_code == 404
    assert not VisualOutcome.objects.exists()


def test_inspection_page_says_how_far_it_is_and_leads_there(place, inside, address):
    VisualOutcomeFactory(inspection=place.inspection, item=FIRST.key)

    page = inside.get(reverse("inspection", args=[place.inspection.pk])).content.decode()

    assert address in page
    assert f"1 of {sum(len(area.items) for area in visual.areas())} items answered" in page


@pytest.mark.parametrize("answered", [1, 3])
def test_number_of_queries_does_not_grow(place, inside, address, answered, django_assert_num_queries):
    for item in AREA.items[:answered]:
        VisualOutcomeFactory(inspection=place.inspection, item=item.key, outcome=Outcome.C3)
        ObservationFactory(inspection=place.inspection, made_from=f"visual {item.key}")

    with django_assert_num_queries(8):
        inside.get(address)
