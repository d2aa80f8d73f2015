"""What stands in the way of issuing: each alone, with the place where it is put right."""

from datetime import date

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse

from inspections.enums import Code, InspectionKind, Outcome, StandingAnswer, Use
from inspections.models import Inspection
from remedies.enums import LoadState
from reports.blocks import OF_POINTS, blocks_of
from reports.examination import Examination
from tests.factories import (
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    InstallationFactory,
    LimitationFactory,
    ObservationFactory,
    ParallelLoadFactory,
)
from tests.reports.ready import LIGHTS, SOUND, ready_visit

pytestmark = pytest.mark.django_db


def blocks(inspection):
    inspection = Inspection.objects.select_related("installation__client__firm", "based_on").get(
        pk=inspection.pk
    )
    return blocks_of(Examination(inspection))


def only_block(inspection):
    (block,) = blocks(inspection)
    return block


def change(inspection, **fields):
    for name, value in fields.items():
        setattr(inspection, name, value)
    inspection.save()
    return inspection


def change_result(inspection, **fields):
    result = inspection.results.get()
    for name, value in fields.items():
        setattr(result, name, value)
    result.save()
    return result.circuit


def test_a_visit_with_all_done_may_be_issued():
    assert blocks(ready_visit()) == []


# Readings


def test_a_circuit_with_nothing_entered_is_named_with_its_row():
    inspection = ready_visit()
    board = inspection.installation.boards.get()
    circuit = CircuitFactory(board=board, way="2", description="Cooker", **LIGHTS)

    block = only_block(inspection)

    assert (block.subject, block.text) == ("Readings", "DB1/2 Cooker: nothing is entered.")
    assert block.address == f"{reverse('results_grid', args=[inspection.pk, board.pk])}#row-{circuit.pk}"


@pytest.mark.parametrize(
    ("fields", "names"),
    [
        ({"zs": ""}, "Zs"),
        ({"zs": "N/A", "polarity": ""}, "Polarity, Zs"),
        ({"ir_live_live": "✓"}, "Live-live"),
    ],
)
def test_readings_still_to_be_entered_are_named(fields, names):
    inspection = ready_visit()
    change_result(inspection, **fields)
    assert only_block(inspection).text == f"DB1/1 Lights: to be entered: {names}."


def test_a_spare_way_asks_for_nothing():
    inspection = ready_visit()
    CircuitFactory(board=inspection.installation.boards.get(), way="2", description="Spare", is_spare=True)
    assert blocks(inspection) == []


@pytest.mark.parametrize(("kind", "count"), [("alteration", 1), ("fault", 0)])
def test_an_alteration_asks_only_for_the_circuits_it_measured_and_a_fault_visit_for_none(kind, count):
    inspection = change(ready_visit(), kind=kind)
    CircuitFactory(board=inspection.installation.boards.get(), way="2", **LIGHTS)
    change_result(inspection, zs="")
    assert [block.subject for block in blocks(inspection)] == ["Readings"] * count


# Limitations


def test_lim_without_a_limitation_leads_to_recording_it():
    inspection = ready_visit()
    circuit = change_result(inspection, zs="LIM")

    block = only_block(inspection)

    assert block.subject == "Limitations"
    assert block.address.startswith(reverse("limitation_add", args=[inspection.pk]))
    assert f"tests=zs&circuits={circuit.pk}" in block.address
    LimitationFactory(inspection=inspection, circuits=[circuit], tests=["zs"])
    assert blocks(inspection) == []


def test_a_standing_limitation_waits_for_its_answer():
    inspection = ready_visit()
    earlier = LimitationFactory(
        inspection__installation=inspection.installation, inspection__started_on=date(2020, 1, 1),
        is_standing=True,
    )  # fmt: skip
    carried = LimitationFactory(
        inspection=inspection, is_standing=True, carried_from=earlier, tests=["ir_live_live"],
        standing_answer=StandingAnswer.PENDING, reason="Servers stay on",
    )  # fmt: skip

    block = only_block(inspection)

    assert block.text == "Standing from the last visit, not answered yet: Servers stay on"
    assert block.address == reverse("inspection", args=[inspection.pk]) + "#standing"
    carried.standing_answer = StandingAnswer.KEPT
    carried.save()
    assert blocks(inspection) == []


# Observations and the visual inspection


def test_an_observation_without_a_code_is_named():
    inspection = ready_visit()
    observation = ObservationFactory(inspection=inspection, text="Cover loose")
    block = only_block(inspection)
    assert block.text == "No code yet: Cover loose"
    assert block.address == reverse("observation_change", args=[observation.pk])


def test_c1_without_what_was_done_is_named_even_where_the_database_let_it_in():
    inspection = ready_visit()
    observation = ObservationFactory(
        inspection=inspection, code=Code.C1, action_on_day="Isolated", client_warned_on=date(2026, 11, 3)
    )
    assert blocks(inspection) == []
    observation.action_on_day = ""
    seen = Examination(inspection)
    seen.observations = [observation]
    (block,) = blocks_of(seen)
    assert block.text.startswith("C1 needs what was done about it")


def test_a_photograph_whose_file_is_gone_is_named():
    inspection = ready_visit()
    observation = ObservationFactory(
        inspection=inspection, code=Code.C3, photo=ContentFile(b"x", name="board.jpg")
    )
    observation.photo.storage.delete(observation.photo.name)
    assert only_block(inspection).text == "The photograph is gone: Cover loose"


@pytest.mark.parametrize(
    ("kind", "count"), [("periodic", 1), ("initial", 1), ("alteration", 0), ("fault", 0)]
)
def test_visual_items_without_an_outcome_are_counted(kind, count):
    inspection = change(ready_visit(), kind=kind)
    inspection.visual_outcomes.first().delete()
    found = blocks(inspection)
    assert [block.text for block in found] == ["1 item has no outcome yet."] * count


def test_a_coded_visual_item_asks_for_its_observation():
    inspection = ready_visit()
    row = inspection.visual_outcomes.get(item="meter-tails")
    row.outcome = Outcome.C2
    row.save()

    block = only_block(inspection)

    assert block.text.startswith("C2 without an observation:")
    assert block.address == reverse("visual_items", args=[inspection.pk]) + "#meter-tails"
    ObservationFactory(inspection=inspection, code=Code.C2, made_from="visual meter-tails")
    assert blocks(inspection) == []


# Loads and instruments


def test_a_load_not_put_back_leads_to_it():
    inspection = ready_visit()
    load = ParallelLoadFactory(
        circuit=inspection.results.get().circuit, place="Rose", state=LoadState.DISCONNECTED
    )
    block = only_block(inspection)
    assert block.subject == "Load register"
    assert block.address == reverse("load", args=[load.pk])
    assert "Rose" in block.text


def test_an_instrument_out_of_calibration_is_explained_or_stands_in_the_way():
    inspection = ready_visit()
    instrument = inspection.instruments.get()
    instrument.calibrated_until = date(2026, 11, 2)
    instrument.save()

    block = only_block(inspection)

    assert "calibration ended 2 Nov 2026" in block.text
    assert block.address.endswith("#id_calibration_explanation")
    change(inspection, calibration_explanation="Checked against another on the day")
    assert blocks(inspection) == []


def test_calibration_must_cover_the_last_day():
    inspection = change(ready_visit(), finished_on=date(2026, 11, 5))
    instrument = inspection.instruments.get()
    instrument.calibrated_until = date(2026, 11, 4)
    instrument.save()
    assert only_block(inspection).subject == "Instruments"


def test_no_instrument_at_all_stands_in_the_way():
    inspection = ready_visit()
    inspection.instruments.clear()
    assert only_block(inspection).text == "None is named."


# Report and next inspection


@pytest.mark.parametrize("field", ["extent", "general_condition"])
def test_what_the_report_must_say_is_asked_for(field):
    inspection = change(ready_visit(), **{field: " "})
    assert only_block(inspection).address.endswith(f"#id_{field}")


def test_the_next_due_day_is_asked_for_with_the_published_interval():
    # IET Guidance Note 3, Table 3.2: industrial, 3 years.
    inspection = change(ready_visit(InstallationFactory(use=Use.INDUSTRIAL)), next_due_on=None)
    assert only_block(inspection).text == (
        "The day it falls due is not set. At most 3 years for industrial premises is published."
    )


@pytest.mark.parametrize(("day", "count"), [(date(2029, 11, 3), 0), (date(2029, 11, 4), 1)])
def test_a_day_past_the_published_interval_asks_for_the_inspectors_own_words(day, count):
    inspection = change(ready_visit(InstallationFactory(use=Use.INDUSTRIAL)), next_due_on=day)
    assert [block.subject for block in blocks(inspection)] == ["Next inspection"] * count
    change(inspection, next_due_reason="New wiring, and a maintenance team on site")
    assert blocks(inspection) == []


def test_a_use_without_a_published_interval_asks_for_own_words():
    inspection = ready_visit(InstallationFactory(use=Use.OTHER))
    assert "No interval is published for this use (other)" in only_block(inspection).text


def test_a_fault_visit_asks_for_no_next_day_and_no_condition():
    inspection = ready_visit()
    change(inspection, kind=InspectionKind.FAULT, next_due_on=None, general_condition="", extent="")
    assert blocks(inspection) == []


# Points


def test_a_finding_out_of_limit_leads_to_the_review():
    inspection = ready_visit()
    change_result(inspection, zs="9.00")
    found = blocks(inspection)
    assert {block.subject for block in found} == {OF_POINTS}
    assert all(
        block.address.startswith(reverse("review", args=[inspection.pk]) + "#point-") for block in found
    )


def test_an_empty_visit_is_told_all_it_lacks():
    circuit = CircuitFactory()
    inspection = InspectionFactory(installation=circuit.board.installation)
    assert [block.subject for block in blocks(inspection)] == [
        "Readings", "Visual inspection", "Instruments", "Report", "Report", "Next inspection", OF_POINTS,
        OF_POINTS, OF_POINTS,
    ]  # fmt: skip


@pytest.mark.parametrize("circuits", [1, 3])
def test_number_of_queries_does_not_grow(circuits, django_assert_num_queries):
    inspection = ready_visit()
    board = inspection.installation.boards.get()
    for way in range(circuits):
        circuit = CircuitFactory(board=board, way=str(way + 2), **LIGHTS)
        CircuitResultFactory(inspection=inspection, circuit=circuit, **SOUND | {"zs": "9.00"})
        LimitationFactory(inspection=inspection, circuits=[circuit])
        ObservationFactory(inspection=inspection, circuit=circuit)
        ParallelLoadFactory(circuit=circuit, state=LoadState.DISCONNECTED)
    inspection = Inspection.objects.select_related("installation__client__firm").get(pk=inspection.pk)
    with django_assert_num_queries(22):
        blocks_of(Examination(inspection))
