"""Visits."""

from datetime import date

import pytest
from django.urls import reverse

from config.permissions import WRITE
from inspections.enums import Code, InspectionStatus, Phases, Role, StandingAnswer
from inspections.models import BoardResult, Inspection
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    InstrumentFactory,
    LimitationFactory,
    MemberFactory,
    ObservationFactory,
)


def close(inspection):
    inspection.status = InspectionStatus.IN_REVIEW
    inspection.save()


def test_visit_begun_brings_over_the_standing_limitation_to_be_answered(place, inside):
    place.limitation.is_standing = True
    place.limitation.save()

    response = inside.post(
        reverse("inspection_start", args=[place.installation.pk]),
        {"kind": "periodic", "started_on": "2026-11-25", "inspector": place.member.pk},
    )

    begun = Inspection.objects.get(started_on=date(2026, 11, 25))
    assert response.url == reverse("inspection", args=[begun.pk])
    [carried] = inside.get(response.url).context["to_answer"]
    assert (carried.carried_from, carried.standing_answer) == (place.limitation, StandingAnswer.PENDING)


def test_visit_without_a_date_keeps_the_reason_typed(place, inside, errors_of):
    response = inside.post(
        reverse("inspection_start", args=[place.installation.pk]),
        {"kind": "periodic", "started_on": "", "inspector": place.member.pk, "reason": "Change of tenant"},
    )

    assert errors_of(response) == {"started_on": ["Say when the visit is, or was."]}
    assert "Change of tenant" in response.content.decode()
    assert Inspection.objects.count() == 1


def test_inspector_of_another_firm_is_refused(place, inside, errors_of):
    response = inside.post(
        reverse("inspection_start", args=[place.installation.pk]),
        {"kind": "periodic", "started_on": "2026-11-25", "inspector": MemberFactory().pk},
    )

    assert list(errors_of(response)) == ["inspector"]


@pytest.mark.parametrize("page", ["inspection_start", "inspection_change"])
def test_only_whoever_may_enter_readings_is_offered_as_inspector(place, inside, page):
    for role in Role:
        MemberFactory(firm=place.member.firm, role=role)
    MemberFactory(firm=place.member.firm, role=Role.INSPECTOR, is_active=False)
    pk = (place.installation if page == "inspection_start" else place.inspection).pk

    offered = inside.get(reverse(page, args=[pk])).context["form"].fields["inspector"].queryset

    assert {member.role for member in offered} == WRITE["results_grid"].who
    assert all(member.is_active for member in offered)


def test_whoever_is_named_as_inspector_stays_so_in_another_role(place, inside):
    place.inspection.inspector = MemberFactory(firm=place.member.firm, role=Role.OFFICE)
    place.inspection.save()

    form = inside.get(reverse("inspection_change", args=[place.inspection.pk])).context["form"]

    assert place.inspection.inspector in form.fields["inspector"].queryset


def typed_visit(place, **more):
    return {"kind": "periodic", "inspector": place.member.pk, "started_on": "2026-11-03", **more}


def test_facts_of_the_visit_are_saved_as_written(place, inside):
    address = reverse("inspection_change", args=[place.inspection.pk])

    inside.post(
        address,
        typed_visit(place, ze="0.20", ipf_ka=">20", supply_polarity="y", instruments=[place.instrument.pk]),
    )

    place.inspection.refresh_from_db()
    supply = (place.inspection.ze, place.inspection.ipf_ka, place.inspection.supply_polarity)
    assert [str(reading) for reading in supply] == ["0.20", ">20", "✓"]
    assert list(place.inspection.instruments.all()) == [place.instrument]


def test_reading_with_a_comma_is_explained_and_kept(place, inside, errors_of):
    address = reverse("inspection_change", args=[place.inspection.pk])

    response = inside.post(address, typed_visit(place, ze="0,21"))

    assert errors_of(response) == {"ze": ["“0,21” has a comma. Type a point: 0.21"]}
    assert 'value="0,21"' in response.content.decode()


def test_last_day_before_the_first_is_refused(place, inside, errors_of):
    address = reverse("inspection_change", args=[place.inspection.pk])

    response = inside.post(address, typed_visit(place, finished_on="2026-11-02"))

    assert errors_of(response) == {"__all__": ["The last day is before the first."]}


def test_instrument_of_another_firm_is_refused(place, inside, errors_of):
    address = reverse("inspection_change", args=[place.inspection.pk])

    response = inside.post(address, typed_visit(place, instruments=[InstrumentFactory().pk]))

    assert list(errors_of(response)) == ["instruments"]


def test_visit_in_review_no_longer_changes_and_what_was_typed_is_kept(place, inside, errors_of):
    close(place.inspection)
    address = reverse("inspection_change", args=[place.inspection.pk])

    response = inside.post(address, typed_visit(place, extent="All fixed wiring"))

    assert list(errors_of(response)) == ["__all__"]
    assert "All fixed wiring" in response.content.decode()
    place.inspection.refresh_from_db()
    assert place.inspection.extent == ""


def test_form_of_a_visit_in_review_leads_back_to_its_page(place, inside):
    close(place.inspection)

    response = inside.get(reverse("inspection_change", args=[place.inspection.pk]))

    assert response.url == reverse("inspection", args=[place.inspection.pk])


def test_measured_at_the_board_is_saved_once_a_visit(place, inside):
    address = reverse("board_result", args=[place.inspection.pk, place.board.pk])

    inside.post(address, {"zdb": "0.25", "polarity": "✓"})
    inside.post(address, {"zdb": "0.26", "polarity": "✓"})

    assert str(BoardResult.objects.get().zdb) == "0.26"


def test_phase_sequence_is_asked_only_of_a_three_phase_board(place, inside):
    three = BoardFactory(installation=place.installation, phases=Phases.THREE)

    def fields(board):
        address = reverse("board_result", args=[place.inspection.pk, board.pk])
        return list(inside.get(address).context["form"].fields)

    assert "phase_sequence" not in fields(place.board)
    assert "phase_sequence" in fields(three)


def test_measured_at_the_board_in_no_notation_is_explained(place, inside, errors_of):
    address = reverse("board_result", args=[place.inspection.pk, place.board.pk])

    response = inside.post(address, {"polarity": "0.2"})

    assert list(errors_of(response)) == ["polarity"]
    assert not BoardResult.objects.exists()


def test_page_shows_progress_board_by_board_with_a_link_to_the_grid(place, inside):
    CircuitResultFactory(inspection=place.inspection, circuit=place.circuit, zs="0.84")

    response = inside.get(reverse("inspection", args=[place.inspection.pk]))

    assert [(board, str(progress)) for board, progress, _ in response.context["boards"]] == [
        (place.board, "1 of 5 readings")
    ]
    assert reverse("results_grid", args=[place.inspection.pk, place.board.pk]) in response.content.decode()


def test_observations_stand_by_urgency_those_without_a_code_first(place, inside):
    for code in (Code.C3, Code.FI, Code.C2):
        ObservationFactory(inspection=place.inspection, code=code)

    observations = inside.get(reverse("inspection", args=[place.inspection.pk])).context["observations"]

    assert [observation.code for observation in observations] == ["", "C2", "FI", "C3"]


def test_instrument_out_of_calibration_on_the_last_day_is_warned_of(place, inside):
    place.inspection.finished_on = date(2026, 11, 5)
    place.inspection.save()
    place.inspection.instruments.set(
        [
            InstrumentFactory(firm=place.member.firm, calibrated_until=date(2026, 11, 4)),
            InstrumentFactory(firm=place.member.firm, calibrated_until=date(2026, 11, 5)),
        ]
    )

    page = inside.get(reverse("inspection", args=[place.inspection.pk])).content.decode()

    assert page.count("was calibrated until") == 1
    assert "was calibrated until 4 Nov 2026, before the test on 5 Nov 2026" in page


def test_page_of_a_visit_in_review_offers_no_changes(place, inside):
    close(place.inspection)

    page = inside.get(reverse("inspection", args=[place.inspection.pk])).content.decode()

    for name, row in (("inspection_change", place.inspection), ("limitation_add", place.inspection)):
        assert reverse(name, args=[row.pk]) not in page


@pytest.mark.parametrize("rows", [1, 3])
def test_number_of_queries_does_not_grow(place, inside, rows, django_assert_num_queries):
    for number in range(rows - 1):
        board = BoardFactory(installation=place.installation)
        circuit = CircuitFactory(board=board, way=str(number + 20))
        CircuitResultFactory(inspection=place.inspection, circuit=circuit)
        ObservationFactory(inspection=place.inspection, circuit=circuit)
        LimitationFactory(inspection=place.inspection, circuits=[circuit])
    LimitationFactory(inspection=place.inspection, circuits=[place.circuit])
    place.inspection.instruments.set(InstrumentFactory.create_batch(rows, firm=place.member.firm))
    InspectionFactory.create_batch(rows, installation=place.installation)

    with django_assert_num_queries(20):
        inside.get(reverse("inspection", args=[place.inspection.pk]))


def test_page_offers_first_what_is_still_to_be_entered_then_the_visual_items(place, inside):
    address = reverse("inspection", args=[place.inspection.pk])
    grid = reverse("results_grid", args=[place.inspection.pk, place.board.pk])
    assert inside.get(address).context["next_step"]["address"] == grid

    place.circuit.is_spare = True
    place.circuit.save()
    step = inside.get(address).context["next_step"]
    assert step["address"] == reverse("visual_items", args=[place.inspection.pk])
