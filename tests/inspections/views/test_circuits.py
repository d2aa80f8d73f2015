"""Circuits."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.enums import Phases
from inspections.forms.layout import SAVED_AT_ONCE
from inspections.models import Circuit
from tests.factories import CircuitFactory, CircuitResultFactory, InspectionFactory, ParallelLoadFactory

TYPED = {"way": "4", "arrangement": "radial", "serves": "fixed", "voltage_band": "LV"}


def test_circuit_added_belongs_to_the_board(place, inside):
    address = reverse("circuit_add", args=[place.board.pk])

    response = inside.post(address, {**TYPED, "live_csa_mm2": "2.5", "device_type": "B"})

    added = Circuit.objects.get(way="4")
    assert response.url == reverse("board", args=[place.board.pk])
    assert (added.board, added.live_csa_mm2, added.device_type) == (place.board, Decimal("2.5"), "B")


def test_save_and_add_the_next_way_counts_on_and_keeps_what_is_usually_the_same(place, inside):
    address = reverse("circuit_add", args=[place.board.pk])
    typed = {**TYPED, "description": "Kitchen", "live_csa_mm2": "2.5", "device_rating_a": "32", "next": "yes"}

    response = inside.post(address, typed)
    form = inside.get(response.url).context["form"]

    assert form["way"].value() == "5"
    assert form["live_csa_mm2"].value() == "2.5"
    assert form["device_rating_a"].value() == "32"
    assert not form["description"].value()


@pytest.mark.parametrize(("last", "next_way"), [("9", "10"), ("S3", "S4"), ("A", ""), ("12b", "")])
def test_first_suggestion_follows_the_last_way_of_the_board(place, inside, last, next_way):
    place.circuit.delete()
    CircuitFactory(board=place.board, way=last)

    form = inside.get(reverse("circuit_add", args=[place.board.pk])).context["form"]

    assert form["way"].value() == next_way


def test_first_circuit_of_a_board_is_offered_way_1(place, inside):
    place.circuit.delete()

    form = inside.get(reverse("circuit_add", args=[place.board.pk])).context["form"]

    assert form["way"].value() == "1"


def test_way_that_is_taken_is_refused_and_what_was_typed_kept(place, inside, errors_of):
    address = reverse("circuit_add", args=[place.board.pk])

    response = inside.post(address, {**TYPED, "way": "3", "description": "Stage floods"})

    assert errors_of(response) == {"__all__": ["That way and phase of this board already has a circuit."]}
    assert 'value="Stage floods"' in response.content.decode()


def test_way_taken_at_the_same_moment_by_another_person_is_said_and_what_was_typed_kept(
    place, inside, errors_of, monkeypatch
):
    def taken(row, **_):
        raise IntegrityError

    monkeypatch.setattr("inspections.views.circuits.save_record", taken)

    response = inside.post(
        reverse("circuit_add", args=[place.board.pk]), {**TYPED, "description": "Stage floods"}
    )

    assert errors_of(response) == {"__all__": [SAVED_AT_ONCE]}
    assert 'value="Stage floods"' in response.content.decode()


def test_comma_in_a_number_is_explained_and_kept(place, inside, errors_of):
    address = reverse("circuit_change", args=[place.circuit.pk])

    response = inside.post(address, {**TYPED, "way": "3", "live_csa_mm2": "2,5"})

    assert errors_of(response) == {
        "live_csa_mm2": ["This is not a number. Type digits with a point, such as 2.5"]
    }
    assert 'value="2,5"' in response.content.decode()


def test_size_of_zero_is_refused(place, inside, errors_of):
    response = inside.post(
        reverse("circuit_change", args=[place.circuit.pk]), {**TYPED, "way": "3", "live_csa_mm2": "0"}
    )

    assert list(errors_of(response)) == ["live_csa_mm2"]


def test_phase_is_asked_only_where_the_board_has_three(place, inside):
    address = reverse("circuit_add", args=[place.board.pk])
    assert "phase" not in inside.get(address).context["form"].fields

    place.board.phases = Phases.THREE
    place.board.save()

    assert "phase" in inside.get(address).context["form"].fields


def test_three_phase_circuit_on_a_taken_way_is_refused_at_its_phase(place, inside, errors_of):
    place.board.phases = Phases.THREE
    place.board.save()
    CircuitFactory(board=place.board, way="5", phase="L1")

    response = inside.post(
        reverse("circuit_add", args=[place.board.pk]), {**TYPED, "way": "5", "phase": "L123"}
    )

    assert errors_of(response) == {
        "phase": ["Way 5 cannot hold a three-phase circuit and another one at once."]
    }


def test_readings_stand_latest_visit_first(place, inside):
    before = InspectionFactory(installation=place.installation, started_on=date(2023, 11, 6))
    CircuitResultFactory(inspection=before, circuit=place.circuit, zs="0.84")
    CircuitResultFactory(inspection=place.inspection, circuit=place.circuit, zs="0.88")

    response = inside.get(reverse("circuit", args=[place.circuit.pk]))

    assert [str(result.zs) for result, _ in response.context["history"]] == ["0.88", "0.84"]


def test_page_shows_what_is_across_the_circuit(place, inside):
    ParallelLoadFactory(circuit=place.circuit, place="Behind the stair light")

    assert (
        "Behind the stair light" in inside.get(reverse("circuit", args=[place.circuit.pk])).content.decode()
    )


def test_circuit_with_readings_is_retired_and_kept(place, inside):
    CircuitResultFactory(inspection=place.inspection, circuit=place.circuit)

    inside.post(reverse("circuit_retire", args=[place.circuit.pk]), {"retired_on": "2026-11-25"})

    place.circuit.refresh_from_db()
    assert place.circuit.retired_on == date(2026, 11, 25)


def test_circuit_without_a_record_is_removed(place, inside):
    inside.post(reverse("circuit_retire", args=[place.circuit.pk]), {"retired_on": "2026-11-25"})

    assert not Circuit.objects.exists()


def test_retiring_asks_for_the_day(place, inside, errors_of):
    response = inside.post(reverse("circuit_retire", args=[place.circuit.pk]), {"retired_on": ""})

    assert errors_of(response) == {"retired_on": ["Say since when the circuit is out of use."]}
    assert Circuit.objects.exists()


def test_page_shows_the_findings_of_the_latest_visit_with_their_working(place, inside):
    place.circuit.device_standard, place.circuit.device_type = "BS EN 60898", "B"
    place.circuit.device_rating_a = 32
    place.circuit.save()
    before = InspectionFactory(installation=place.installation, started_on=date(2023, 11, 6))
    CircuitResultFactory(inspection=before, circuit=place.circuit, zs="2.00")
    CircuitResultFactory(inspection=place.inspection, circuit=place.circuit, zs="1.52")

    page = inside.get(reverse("circuit", args=[place.circuit.pk])).content.decode()

    assert "Zs 1.52 Ω is above 1.37 Ω." in page  # BS 7671:2018+A2:2022 Table 41.3, type B, 32 A
    assert "Zs 2.00 Ω" not in page
    assert "230 × 0.95 ÷ (5 × 32) = 1.37 Ω" in page


def test_page_draws_readings_of_several_visits_and_says_them(place, inside):
    for year, reading in ((2016, ">200"), (2021, "90"), (2026, "40")):
        visit = InspectionFactory(installation=place.installation, started_on=date(year, 11, 2))
        CircuitResultFactory(inspection=visit, circuit=place.circuit, ir_live_live=reading, ir_voltage_v=500)

    page = inside.get(reverse("circuit", args=[place.circuit.pk])).content.decode()

    said = "Live-live: 2 Nov 2016 &gt;200 MΩ at 500 V, 2 Nov 2021 90 MΩ at 500 V"
    assert f"{said}, 2 Nov 2026 40 MΩ at 500 V." in page
    assert page.count("<svg viewBox") == 2  # the mark of the program, and one line


def test_page_shows_when_a_straight_line_meets_the_limit(place, inside):
    for year, reading in ((2011, "61"), (2016, "42"), (2021, "21"), (2026, "3.0")):
        visit = InspectionFactory(installation=place.installation, started_on=date(year, 11, 2))
        CircuitResultFactory(
            inspection=visit,
            circuit=place.circuit,
            ir_live_live=reading,
            ir_live_earth=">200",
            ir_voltage_v=500,
        )

    response = inside.get(reverse("circuit", args=[place.circuit.pk]))

    (forecast,) = response.context["forecasts"]
    assert "straight line meets 1.00 MΩ" in forecast.summary
    assert forecast.summary in response.content.decode()
    assert forecast not in [item.finding for item in response.context["findings"]]


def test_page_explains_a_low_reading_by_what_is_across_the_circuit(place, inside):
    ParallelLoadFactory(circuit=place.circuit)
    CircuitResultFactory(
        inspection=place.inspection, circuit=place.circuit, ir_live_live="0.30", ir_voltage_v=500
    )

    assert 'id="explained"' in inside.get(reverse("circuit", args=[place.circuit.pk])).content.decode()


def test_page_of_a_retired_circuit_still_shows_its_findings(place, inside):
    CircuitResultFactory(inspection=place.inspection, circuit=place.circuit, zs="0.00")
    place.circuit.retired_on = date(2026, 11, 25)
    place.circuit.save()

    assert inside.get(reverse("circuit", args=[place.circuit.pk])).context["findings"]


def test_number_of_queries_does_not_grow_with_the_visits(place, inside):
    ParallelLoadFactory(circuit=place.circuit)
    CircuitResultFactory(inspection=place.inspection, circuit=place.circuit)

    def queries():
        with CaptureQueriesContext(connection) as asked:
            inside.get(reverse("circuit", args=[place.circuit.pk]))
        return len(asked)

    once = queries()
    for year in (2016, 2021):
        visit = InspectionFactory(installation=place.installation, started_on=date(year, 11, 2))
        CircuitResultFactory(inspection=visit, circuit=place.circuit, zs="0.50")
        ParallelLoadFactory(circuit=place.circuit)

    assert queries() == once
