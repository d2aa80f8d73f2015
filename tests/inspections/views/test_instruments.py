"""Instruments."""

from datetime import date

import pytest
import time_machine
from django.urls import reverse

from inspections.models import Instrument
from tests.factories import InstrumentFactory


def test_instrument_added_belongs_to_the_firm(place, inside):
    inside.post(reverse("instrument_add"), {"measures": "insulation", "serial": "TW-0500", "group": "B"})

    assert Instrument.objects.get(serial="TW-0500").firm == place.member.firm


def test_second_instrument_of_one_serial_is_refused_and_what_was_typed_kept(place, inside, errors_of):
    response = inside.post(
        reverse("instrument_add"), {"measures": "loop", "serial": "TW-0412", "description": "In the van"}
    )

    assert list(errors_of(response)) == ["__all__"]
    assert 'value="In the van"' in response.content.decode()


def test_test_current_outside_iec_61557_2_is_refused(place, inside, errors_of):
    """IEC 61557-2: at least 1 mA into the rated load, at most 15 mA."""
    response = inside.post(
        reverse("instrument_change", args=[place.instrument.pk]),
        {"measures": "insulation", "serial": "TW-0412", "insulation_current_ma": "15.5"},
    )

    assert errors_of(response)
    place.instrument.refresh_from_db()
    assert place.instrument.insulation_current_ma is None


@time_machine.travel("2026-11-25T12:00Z")
def test_calibration_that_ended_is_said_in_words(place, inside):
    InstrumentFactory(firm=place.member.firm, serial="TW-0001", calibrated_until=date(2026, 11, 24))
    InstrumentFactory(firm=place.member.firm, serial="TW-0002", calibrated_until=date(2026, 11, 25))

    response = inside.get(reverse("instruments"))

    assert {row.serial: good for row, good in response.context["in_use"]} == {
        "TW-0412": False,
        "TW-0001": False,
        "TW-0002": True,
    }
    assert "ended 24 Nov 2026" in response.content.decode()


def test_instrument_out_of_use_stands_apart(place, inside):
    gone = InstrumentFactory(firm=place.member.firm, retired_on=date(2025, 1, 1))

    context = inside.get(reverse("instruments")).context

    assert list(context["retired"]) == [gone]
    assert [row for row, _ in context["in_use"]] == [place.instrument]


@pytest.mark.parametrize("rows", [1, 3])
def test_number_of_queries_does_not_grow(place, inside, rows, django_assert_num_queries):
    InstrumentFactory.create_batch(rows - 1, firm=place.member.firm)

    with django_assert_num_queries(5):
        inside.get(reverse("instruments"))


def test_the_form_of_a_new_row_begins_in_its_first_empty_field_and_shows_no_part_without_one(place, inside):
    page = inside.get(reverse("instrument_add"))
    assert page.content.decode().count("autofocus") == 1
    assert page.context["form"].fields["serial"].widget.attrs["autofocus"]
    assert "No longer used" not in page.content.decode()

    changed = inside.get(reverse("instrument_change", args=[place.instrument.pk])).content.decode()
    assert "autofocus" not in changed
    assert "No longer used" in changed
