"""The life of a load: each step, each step refused, and who did what when."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from remedies import cautions, services
from remedies.enums import Connection, LoadKind, LoadState, Origin
from remedies.models import ParallelLoad
from tests.factories import (
    VISIT,
    CircuitFactory,
    InspectionFactory,
    LoadPresetFactory,
    MemberFactory,
    ParallelLoadFactory,
)

pytestmark = pytest.mark.django_db
LATER = date(2026, 12, 1)


@pytest.fixture
def circuit():
    return CircuitFactory()


@pytest.fixture
def member(circuit):
    return MemberFactory(firm=circuit.board.installation.firm, name="A. Dyer")


def new_load(circuit, **fields):
    return ParallelLoad(
        **{"circuit": circuit, "kind": LoadKind.NEON, "place": "Landing switch", "since": VISIT, **fields}
    )


def load_in(state, circuit, **fields):
    taken_out = {"taken_out_on": LATER, "taken_out_by": "A. Dyer"} if state == LoadState.TAKEN_OUT else {}
    since = {"state_since": LATER} if state == LoadState.TAKEN_OUT else {}
    return ParallelLoadFactory(circuit=circuit, state=state, **taken_out, **since, **fields)


def last_change(load):
    return load.history.first()


# --- recorded -----------------------------------------------------------------------------------------------


def test_a_load_found_is_in_place_since_that_day(circuit, member):
    load = services.record_load(load=new_load(circuit), member=member, reason="glow complaint")

    load.refresh_from_db()
    assert (load.state, load.origin, load.state_since) == (LoadState.IN_PLACE, Origin.FOUND, VISIT)
    assert last_change(load).history_user == member
    assert last_change(load).history_change_reason == "Found there: glow complaint"


def test_a_load_fitted_says_so_in_its_history(circuit, member):
    load = services.record_load(load=new_load(circuit, origin=Origin.FITTED), member=member)

    assert last_change(load).history_change_reason == "Fitted by us"


def test_a_suspected_load_was_never_fitted_by_us(circuit, member):
    load = new_load(circuit, state=LoadState.SUSPECTED, origin=Origin.FITTED)

    services.record_load(load=load, member=member)

    load.refresh_from_db()
    assert (load.state, load.origin) == (LoadState.SUSPECTED, Origin.FOUND)


@pytest.mark.parametrize("state", [LoadState.DISCONNECTED, LoadState.TAKEN_OUT])
def test_a_load_cannot_begin_as_gone(circuit, member, state):
    with pytest.raises(ValidationError) as refused:
        services.record_load(load=new_load(circuit, state=state), member=member)

    assert refused.value.message_dict == {"state": ["A load is entered as suspected or in place."]}


def test_a_load_found_at_a_visit_elsewhere_is_refused(circuit, member):
    elsewhere = InspectionFactory()

    with pytest.raises(ValidationError) as refused:
        services.record_load(load=new_load(circuit, inspection=elsewhere), member=member)

    assert refused.value.message_dict == {"inspection": ["That visit was to another installation."]}
    assert not ParallelLoad.objects.exists()


def test_a_load_without_a_place_is_refused_whole(circuit, member):
    with pytest.raises(ValidationError) as refused:
        services.record_load(load=new_load(circuit, place=""), member=member)

    assert "place" in refused.value.message_dict
    assert not ParallelLoad.objects.exists()


@pytest.mark.parametrize("connection", [Connection.L_E, Connection.N_E])
@pytest.mark.parametrize("capacitor_class", ["X1", "X2"])
def test_fitting_class_x_to_earth_is_refused(circuit, member, connection, capacitor_class):
    load = new_load(
        circuit,
        kind=LoadKind.CAPACITOR,
        capacitor_class=capacitor_class,
        connection=connection,
        origin=Origin.FITTED,
    )

    with pytest.raises(ValidationError) as refused:
        services.record_load(load=load, member=member)

    assert refused.value.message_dict == {"capacitor_class": [cautions.X_CLASS_TO_EARTH]}


def test_class_x_found_to_earth_is_recorded_with_a_caution(circuit, member):
    load = new_load(circuit, kind=LoadKind.CAPACITOR, capacitor_class="X2", connection=Connection.L_E)

    services.record_load(load=load, member=member)

    assert cautions.X_CLASS_FOUND in cautions.of_load(load, 230)


def test_class_y_may_be_fitted_to_earth(circuit, member):
    load = new_load(
        circuit,
        kind=LoadKind.CAPACITOR,
        capacitor_class="Y2",
        connection=Connection.L_E,
        origin=Origin.FITTED,
    )

    services.record_load(load=load, member=member)

    assert ParallelLoad.objects.get().connection == Connection.L_E


# --- suspected ----------------------------------------------------------------------------------------------


def test_a_suspicion_confirmed_is_in_place_from_that_day(circuit, member):
    suspected = load_in(LoadState.SUSPECTED, circuit)

    load = services.confirm_load(load=suspected, on=LATER, member=member)

    assert (load.state, load.state_since, load.since) == (LoadState.IN_PLACE, LATER, VISIT)
    assert last_change(load).history_change_reason == "Found where it was suspected"


def test_a_groundless_suspicion_leaves_no_load_and_a_history(circuit, member):
    suspected = load_in(LoadState.SUSPECTED, circuit)

    services.dismiss_suspicion(load=suspected, member=member, reason="cable was damp")

    assert not ParallelLoad.objects.exists()
    gone = ParallelLoad.history.first()
    assert (gone.history_type, gone.history_user, gone.history_change_reason) == (
        "-",
        member,
        "Not there: cable was damp",
    )


def test_a_suspicion_is_not_dismissed_without_a_reason(circuit, member):
    suspected = load_in(LoadState.SUSPECTED, circuit)

    with pytest.raises(ValidationError) as refused:
        services.dismiss_suspicion(load=suspected, member=member, reason=" ")

    assert refused.value.message_dict == {"reason": ["Say how you know that it is not there."]}
    assert ParallelLoad.objects.get().state == LoadState.SUSPECTED


# --- disconnected, put back, taken out ----------------------------------------------------------------------


def test_disconnected_for_a_test_and_put_back(circuit, member):
    load = load_in(LoadState.IN_PLACE, circuit)

    disconnected = services.disconnect_for_test(load=load, on=LATER, member=member)
    assert (disconnected.state, disconnected.state_since) == (LoadState.DISCONNECTED, LATER)

    back = services.put_back(load=load, on=LATER, member=member, reason="both ends")
    assert (back.state, back.state_since) == (LoadState.IN_PLACE, LATER)
    assert list(back.history.values_list("history_change_reason", flat=True))[:2] == [
        "Put back: both ends",
        "Disconnected for test",
    ]


@pytest.mark.parametrize("state", [LoadState.IN_PLACE, LoadState.DISCONNECTED])
def test_taken_out_says_when_and_by_whom(circuit, member, state):
    load = services.take_out_load(load=load_in(state, circuit), on=LATER, by="B. Weaver", member=member)

    load.refresh_from_db()
    assert (load.state, load.state_since) == (LoadState.TAKEN_OUT, LATER)
    assert (load.taken_out_on, load.taken_out_by) == (LATER, "B. Weaver")


def test_taken_out_without_a_name_is_refused(circuit, member):
    load = load_in(LoadState.IN_PLACE, circuit)

    with pytest.raises(ValidationError):
        services.take_out_load(load=load, on=LATER, by="", member=member)

    load.refresh_from_db()
    assert load.state == LoadState.IN_PLACE


def test_nothing_happens_to_a_load_before_its_last_entry(circuit, member):
    load = load_in(LoadState.IN_PLACE, circuit)

    with pytest.raises(ValidationError) as refused:
        services.disconnect_for_test(load=load, on=date(2026, 11, 2), member=member)

    assert refused.value.message_dict == {
        "on": ["Its last entry is of 3 Nov 2026. Give that day or a later one."]
    }


MOVES = {
    "confirm": lambda load, member: services.confirm_load(load=load, on=LATER, member=member),
    "dismiss": lambda load, member: services.dismiss_suspicion(load=load, member=member, reason="gone"),
    "disconnect": lambda load, member: services.disconnect_for_test(load=load, on=LATER, member=member),
    "put back": lambda load, member: services.put_back(load=load, on=LATER, member=member),
    "take out": lambda load, member: services.take_out_load(load=load, on=LATER, by="A. Dyer", member=member),
    "replace": lambda load, member: services.replace_load(
        load=load, new=new_load(load.circuit, since=LATER), by="A. Dyer", member=member
    ),
}
ALLOWED = {
    "confirm": {LoadState.SUSPECTED},
    "dismiss": {LoadState.SUSPECTED},
    "disconnect": {LoadState.IN_PLACE},
    "put back": {LoadState.DISCONNECTED},
    "take out": {LoadState.IN_PLACE, LoadState.DISCONNECTED},
    "replace": {LoadState.IN_PLACE, LoadState.DISCONNECTED},
}
HOW_IT_STANDS = {
    LoadState.SUSPECTED: "It is only suspected. Confirm it, or rule it out.",
    LoadState.IN_PLACE: "It is already in place, since 3 Nov 2026.",
    LoadState.DISCONNECTED: "It is already disconnected, since 3 Nov 2026.",
    LoadState.TAKEN_OUT: "It is already taken out, on 1 Dec 2026.",
}


@pytest.mark.parametrize(
    ("move", "state"),
    [(move, state) for move in MOVES for state in LoadState if state not in ALLOWED[move]],
)
def test_a_wrong_step_is_refused_in_plain_words_and_changes_nothing(circuit, member, move, state):
    load = load_in(state, circuit)

    with pytest.raises(ValidationError) as refused:
        MOVES[move](load, member)

    assert refused.value.messages == [HOW_IT_STANDS[state]]
    load.refresh_from_db()
    assert load.state == state
    assert load.history.count() == 1
    assert ParallelLoad.objects.count() == 1


def test_a_step_is_judged_by_the_record_and_not_by_a_stale_row(circuit, member):
    """Two people have the page open; the second one hears what the first one did."""
    load = load_in(LoadState.IN_PLACE, circuit)
    stale = ParallelLoad.objects.get(pk=load.pk)
    services.take_out_load(load=load, on=LATER, by="A. Dyer", member=member)

    with pytest.raises(ValidationError, match="already taken out, on 1 Dec 2026"):
        services.disconnect_for_test(load=stale, on=LATER, member=member)


# --- replaced -----------------------------------------------------------------------------------------------


def test_a_replacement_takes_one_out_and_fits_another(circuit, member):
    old = load_in(LoadState.IN_PLACE, circuit)

    new = services.replace_load(
        load=old, new=new_load(None, since=LATER), by="A. Dyer", member=member, reason="aged"
    )

    old.refresh_from_db()
    new.refresh_from_db()
    assert (old.state, old.taken_out_on, old.taken_out_by) == (LoadState.TAKEN_OUT, LATER, "A. Dyer")
    assert old.replaced_by == new
    assert (new.circuit, new.state, new.origin) == (circuit, LoadState.IN_PLACE, Origin.FITTED)
    assert last_change(old).history_change_reason == "Replaced: aged"


def test_a_refused_replacement_leaves_the_old_one_in(circuit, member):
    old = load_in(LoadState.IN_PLACE, circuit)
    wrong = new_load(
        None, since=LATER, kind=LoadKind.CAPACITOR, capacitor_class="X2", connection=Connection.L_E
    )

    with pytest.raises(ValidationError):
        services.replace_load(load=old, new=wrong, by="A. Dyer", member=member)

    old.refresh_from_db()
    assert old.state == LoadState.IN_PLACE
    assert list(ParallelLoad.objects.all()) == [old]


# --- corrected ----------------------------------------------------------------------------------------------


def test_a_correction_keeps_what_it_was_before(circuit, member):
    load = load_in(LoadState.IN_PLACE, circuit, place="Hall")
    load.place = "Pantry"

    services.change_load(load=load, member=member, reason="Corrected")

    now, before = load.history.all()[:2]
    assert (before.place, now.place, now.history_user) == ("Hall", "Pantry", member)


def test_a_correction_never_touches_what_became_of_the_load(circuit, member):
    load = load_in(LoadState.IN_PLACE, circuit)
    stale = ParallelLoad.objects.get(pk=load.pk)
    services.take_out_load(load=load, on=LATER, by="A. Dyer", member=member)
    stale.access = "Two screws"

    services.change_load(load=stale, member=member, reason="Corrected")

    load.refresh_from_db()
    assert (load.state, load.taken_out_on, load.access) == (LoadState.TAKEN_OUT, LATER, "Two screws")


def test_a_corrected_day_of_finding_moves_the_untouched_state_with_it(circuit, member):
    load = load_in(LoadState.IN_PLACE, circuit)
    load.since = date(2026, 10, 1)

    services.change_load(load=load, member=member, reason="Corrected")

    load.refresh_from_db()
    assert load.state_since == date(2026, 10, 1)


def test_a_part_we_fitted_cannot_be_corrected_into_class_x_to_earth(circuit, member):
    load = load_in(LoadState.IN_PLACE, circuit, origin=Origin.FITTED, capacitor_class="X2")
    load.connection = Connection.L_E

    with pytest.raises(ValidationError, match="class X capacitor never goes"):
        services.change_load(load=load, member=member, reason="Corrected")


def test_a_preset_is_kept_with_who_made_it(member):
    preset = LoadPresetFactory.build(firm=member.firm, name="X2 at lamp", capacitance_uf=Decimal("0.1"))

    services.save_preset(preset=preset, member=member)

    assert preset.history.get().history_user == member


def test_two_presets_of_one_name_are_refused(member):
    LoadPresetFactory(firm=member.firm, name="X2 at lamp")

    with pytest.raises(ValidationError):
        services.save_preset(
            preset=LoadPresetFactory.build(firm=member.firm, name="X2 at lamp"), member=member
        )
