"""Recording a load and what becomes of it, as typed into the pages."""

from datetime import date
from decimal import Decimal
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from inspections.services.record import save_record
from remedies import cautions
from remedies.enums import LoadKind, LoadState, Origin
from remedies.models import LoadPreset, ParallelLoad
from tests.factories import VISIT, InspectionFactory

TYPED = {
    "kind": "capacitor",
    "count": "2",
    "capacitor_class": "X2",
    "capacitance_uf": "100n",
    "rated_voltage_v": "275",
    "place": "Pantry ceiling rose",
    "is_hidden": "on",
    "known": "fitted",
    "since": "2026-11-24",
    "connection": "L-N",
}


def add(browse, somewhere, **typed):
    address = reverse("load_add", args=[somewhere.circuit.pk])
    return browse.post(address, {**TYPED, **typed})


def new_load(place):
    return ParallelLoad.objects.exclude(pk=place.load.pk).get()


def test_a_load_is_recorded_with_who_recorded_it(place, browse):
    answer = add(browse, place)

    load = new_load(place)
    assert answer.url == reverse("load", args=[load.pk])
    assert (load.circuit, load.kind, load.count, load.capacitance_uf) == (
        place.circuit,
        LoadKind.CAPACITOR,
        2,
        Decimal("0.1"),
    )
    assert (load.state, load.origin, load.since) == (LoadState.IN_PLACE, Origin.FITTED, date(2026, 11, 24))
    assert load.history.get().history_user == place.member


def test_few_taps_are_enough(place, browse):
    """From a phone: place, kind, and how it is known. Everything else may wait."""
    add_address = reverse("load_add", args=[place.circuit.pk])

    browse.post(
        add_address,
        {
            "kind": "unknown",
            "count": "1",
            "place": "Loft",
            "known": "found",
            "since": "2026-11-25",
            "connection": "L-N",
        },
    )

    load = new_load(place)
    assert (load.kind, load.place, load.is_hidden, load.origin) == (
        LoadKind.UNKNOWN,
        "Loft",
        False,
        Origin.FOUND,
    )


def test_a_suspicion_is_recorded_as_one(place, browse):
    add(browse, place, known="suspected")

    assert new_load(place).state == LoadState.SUSPECTED


@pytest.mark.parametrize(
    ("typed", "ohms"),
    [("220000", "220000"), ("220k", "220000"), ("2.2 MΩ", "2200000"), ("4k7", "4700"), ("470R", "470")],
)
def test_resistances_are_typed_as_people_write_them(place, browse, typed, ohms):
    add(browse, place, kind="resistor", resistance_ohm=typed)

    assert new_load(place).resistance_ohm == Decimal(ohms)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"resistance_ohm": "2,2M"}, "“2,2M” is not understood here. Type it like 220k or 2.2M."),
        ({"capacitance_uf": "3 V"}, "“3 V” is not understood here. Type it like 0.1 or 100n."),
        ({"place": ""}, "Say where it is, so that the next tester finds it."),
        ({"kind": ""}, "Choose what it is"),
        ({"since": "2026-11-26"}, "That day has not come yet."),
        ({"count": "several"}, "This is not a whole number."),
        ({"count": "0"}, "greater than or equal to 1"),
        ({"kind": "rc_network"}, "needs both values, or neither"),
        ({"connection": "L-E"}, cautions.X_CLASS_TO_EARTH),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_stays(place, browse, wrong, message):
    page = add(browse, place, **{"remarks": "seen by torch", **wrong})

    assert page.status_code == 200
    assert message in page.text
    assert "seen by torch" in page.text
    assert all(str(text) in page.text for text in wrong.values() if text)
    assert ParallelLoad.objects.count() == 1


def test_class_x_found_to_earth_is_recorded_and_warned_of(place, browse):
    answer = add(browse, place, known="found", connection="L-E")

    assert cautions.X_CLASS_FOUND in browse.get(answer.url).text


def test_a_visit_gives_the_day_and_the_way_back(place, browse):
    address = reverse("load_add", args=[place.circuit.pk]) + f"?inspection={place.inspection.pk}"
    page = browse.get(address)
    assert f'value="{VISIT.isoformat()}"' in page.text
    assert reverse("inspection", args=[place.inspection.pk]) in page.text

    browse.post(address, TYPED)

    assert new_load(place).inspection == place.inspection


def test_a_visit_to_another_place_of_the_firm_is_ignored(place, browse):
    elsewhere = InspectionFactory(installation__client__firm=place.member.firm)
    address = reverse("load_add", args=[place.circuit.pk]) + f"?inspection={elsewhere.pk}"

    browse.post(address, TYPED)

    assert new_load(place).inspection is None


def test_a_preset_fills_the_form_without_a_script(place, browse):
    page = browse.get(reverse("load_add", args=[place.circuit.pk]), {"preset": place.preset.pk})

    form = page.context["form"]
    assert (form["kind"].value(), form["capacitor_class"].value(), form["capacitance_uf"].value()) == (
        "capacitor",
        "X2",
        "0.1",
    )


def test_the_photograph_is_kept_upright_and_shown_to_the_firm(place, browse):
    picture = BytesIO()
    Image.new("RGB", (40, 30), "grey").save(picture, "PNG")

    add(browse, place, photo=SimpleUploadedFile("rose.png", picture.getvalue(), "image/png"))

    answer = browse.get(reverse("load_photo", args=[new_load(place).pk]))
    with Image.open(BytesIO(b"".join(answer.streaming_content))) as kept:
        assert (kept.format, kept.size) == ("JPEG", (40, 30))


def test_a_load_without_photograph_has_none_to_show(place, browse):
    assert browse.get(reverse("load_photo", args=[place.load.pk])).status_code == 404


def test_a_correction_keeps_the_kind_and_says_what_changed(place, browse):
    address = reverse("load_change", args=[place.load.pk])
    assert "220 kΩ" in browse.get(address).text

    browse.post(
        address,
        {
            "kind": "neon",
            "count": "1",
            "resistance_ohm": "270k",
            "place": "Foyer switch",
            "since": "2026-11-03",
            "connection": "L-N",
        },
    )

    place.load.refresh_from_db()
    assert place.load.resistance_ohm == 270_000
    page = browse.get(reverse("load", args=[place.load.pk])).text
    assert "resistance (Ω), of one: 220000, now 270000" in page


# --- steps of its life --------------------------------------------------------------------------------------


def post(browse, name, place, **typed):
    return browse.post(reverse(name, args=[place.load.pk]), {"on": "2026-11-25", **typed})


def state_of(place):
    place.load.refresh_from_db()
    return place.load.state


def test_disconnected_and_put_back(place, browse):
    post(browse, "load_disconnect", place)
    assert state_of(place) == LoadState.DISCONNECTED

    post(browse, "load_put_back", place, reason="both ends")
    assert state_of(place) == LoadState.IN_PLACE
    assert place.load.history.first().history_change_reason == "Put back: both ends"


def test_taken_out(place, browse):
    post(browse, "load_take_out", place, by="B. Weaver")

    assert state_of(place) == LoadState.TAKEN_OUT
    assert (place.load.taken_out_on, place.load.taken_out_by) == (date(2026, 11, 25), "B. Weaver")


def test_a_wrong_step_says_how_it_stands(place, browse):
    page = post(browse, "load_put_back", place)

    assert page.status_code == 200
    assert "It is already in place, since 3 Nov 2026." in page.text


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"on": "2026-11-26"}, "That day has not come yet."),
        ({"on": "2026-11-02"}, "Its last entry is of 3 Nov 2026. Give that day or a later one."),
        ({"on": "yesterday"}, "This is not a date."),
        ({"on": ""}, "Say on which day."),
    ],
)
def test_a_wrong_day_is_refused(place, browse, typed, message):
    page = post(browse, "load_disconnect", place, reason="before the visit", **typed)

    assert message in page.text
    assert "before the visit" in page.text
    assert state_of(place) == LoadState.IN_PLACE


def test_taken_out_needs_a_name(place, browse):
    page = post(browse, "load_take_out", place, by="")

    assert "Say who took it out." in page.text
    assert state_of(place) == LoadState.IN_PLACE


def test_replaced_by_another_part_in_the_same_place(place, browse):
    page = browse.get(reverse("load_replace", args=[place.load.pk]))
    assert page.context["form"]["place"].value() == "Foyer switch"

    browse.post(
        reverse("load_replace", args=[place.load.pk]),
        {**TYPED, "place": "Foyer switch", "since": "2026-11-25", "by": "A. Dyer"},
    )

    assert state_of(place) == LoadState.TAKEN_OUT
    new = new_load(place)
    assert place.load.replaced_by == new
    assert (new.origin, new.since) == (Origin.FITTED, date(2026, 11, 25))
    assert "Replaces" in browse.get(reverse("load", args=[new.pk])).text


def suspect(place):
    place.load.state = LoadState.SUSPECTED
    save_record(place.load, member=place.member)


def test_a_suspicion_confirmed_goes_on_to_what_it_is(place, browse):
    suspect(place)

    answer = post(browse, "load_confirm", place, answer="found")

    assert state_of(place) == LoadState.IN_PLACE
    assert answer.url == reverse("load_change", args=[place.load.pk])


def test_a_suspicion_ruled_out_is_no_load_and_stays_in_sight_of_the_register(place, browse):
    suspect(place)

    answer = post(browse, "load_confirm", place, answer="not_there", reason="damp joint instead")

    assert not ParallelLoad.objects.exists()
    page = browse.get(answer.url).text
    assert "Suspected, but not there" in page
    assert "DB1/3: neon 220 kΩ, Foyer switch" in page
    assert "Not there: damp joint instead" in page


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"answer": "not_there"}, "Say how you know that it is not there."),
        ({}, "Say whether it was found."),
    ],
)
def test_a_suspicion_needs_an_answer_with_its_reason(place, browse, typed, message):
    suspect(place)

    assert message in post(browse, "load_confirm", place, **typed).text
    assert state_of(place) == LoadState.SUSPECTED


# --- presets ------------------------------------------------------------------------------------------------


def test_a_preset_is_added_and_changed(place, browse):
    browse.post(reverse("load_preset_add"), {"name": "Neon", "kind": "neon", "resistance_ohm": "220k"})
    preset = LoadPreset.objects.get(name="Neon")
    assert (preset.firm, preset.resistance_ohm) == (place.member.firm, 220_000)

    browse.post(
        reverse("load_preset_change", args=[preset.pk]),
        {"name": "Bright neon", "kind": "neon", "resistance_ohm": "270k"},
    )

    preset.refresh_from_db()
    assert (preset.name, preset.resistance_ohm) == ("Bright neon", 270_000)


def test_two_presets_of_one_name_are_refused_and_what_was_typed_stays(place, browse):
    page = browse.post(
        reverse("load_preset_add"), {"name": "X2 at lamp", "kind": "neon", "resistance_ohm": "270k"}
    )

    assert LoadPreset.objects.count() == 1
    assert "270k" in page.text
    assert "already exists" in page.text


@pytest.mark.parametrize(
    ("name", "begins"),
    [
        ("load_add", True),
        ("load_replace", False),
        ("load_take_out", False),
        ("load_disconnect", False),
        ("glow_start", False),
    ],
)
def test_a_page_opens_at_its_first_field_only_where_no_caution_stands_before_it(place, browse, name, begins):
    row = place.circuit if name in ("load_add", "glow_start") else place.load
    page = browse.get(reverse(name, args=[row.pk])).text
    assert ("autofocus" in page) == begins
    assert ("Before touching conductors" in page) != begins
