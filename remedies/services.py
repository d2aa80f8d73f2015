"""The life of a parallel load, one function for each thing that happens to it.

Suspected → in place (found or fitted) → disconnected for a test → put back, or taken out, or replaced. A
suspicion that proves groundless is ruled out: nothing was there, so its entry goes, and the history keeps who
suspected what and why it was dropped. Each function raises ValidationError, in words for the person, when the
load is not in a state that allows it.
"""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from inspections.models import Member
from inspections.services.record import delete_record, save_record
from remedies import cautions
from remedies.enums import LoadState, Origin
from remedies.models import LoadPreset, ParallelLoad

# What the life of a load sets, and a correction of its description never touches.
LIFE = ("circuit", "state", "origin", "state_since", "taken_out_on", "taken_out_by", "replaced_by")


@transaction.atomic
def record_load(*, load: ParallelLoad, member: Member, reason: str = "") -> ParallelLoad:
    """Enter a load in the register: suspected, found in place, or fitted by us.

    What is found is recorded as it is, right or wrong. What we fit must be right: a class X capacitor to
    earth is refused.
    """
    if load.state not in (LoadState.SUSPECTED, LoadState.IN_PLACE):
        raise ValidationError({"state": "A load is entered as suspected or in place."})
    if load.state == LoadState.SUSPECTED:
        load.origin = Origin.FOUND
    _check_visit(load)
    _check_fitting(load)
    load.state_since = load.since
    told = "Suspected" if load.is_suspected else load.get_origin_display()
    return save_record(load, member=member, reason=_why(told, reason))


def _check_visit(load: ParallelLoad) -> None:
    visit = load.inspection
    if visit and visit.installation_id != load.circuit.board.installation_id:
        raise ValidationError({"inspection": "That visit was to another installation."})


def _check_fitting(load: ParallelLoad) -> None:
    if load.origin == Origin.FITTED and cautions.is_x_class_to_earth(load):
        raise ValidationError({"capacitor_class": cautions.X_CLASS_TO_EARTH})


def _why(what: str, reason: str) -> str:
    return f"{what}: {reason}" if reason else what


@transaction.atomic
def confirm_load(*, load: ParallelLoad, on: date, member: Member, reason: str = "") -> ParallelLoad:
    """A suspected load was found: it is in place."""
    load = _in_state(load, LoadState.SUSPECTED)
    return _move(load, LoadState.IN_PLACE, on, member, _why("Found where it was suspected", reason))


@transaction.atomic
def dismiss_suspicion(*, load: ParallelLoad, member: Member, reason: str) -> None:
    """A suspected load is not there. Its entry ends without ever having been a load; its history stays."""
    load = _in_state(load, LoadState.SUSPECTED)
    if not reason.strip():
        raise ValidationError({"reason": "Say how you know that it is not there."})
    delete_record(load, member=member, reason=_why("Not there", reason.strip()))


@transaction.atomic
def disconnect_for_test(*, load: ParallelLoad, on: date, member: Member, reason: str = "") -> ParallelLoad:
    """Disconnected for a test, to be put back after it."""
    load = _in_state(load, LoadState.IN_PLACE)
    return _move(load, LoadState.DISCONNECTED, on, member, _why("Disconnected for test", reason))


@transaction.atomic
def put_back(*, load: ParallelLoad, on: date, member: Member, reason: str = "") -> ParallelLoad:
    """Connected again after a test."""
    load = _in_state(load, LoadState.DISCONNECTED)
    return _move(load, LoadState.IN_PLACE, on, member, _why("Put back", reason))


@transaction.atomic
def take_out_load(*, load: ParallelLoad, on: date, by: str, member: Member, reason: str = "") -> ParallelLoad:
    """Taken out for good, by whoever did it."""
    load = _in_state(load, LoadState.IN_PLACE, LoadState.DISCONNECTED)
    return _take_out(load, on, by, member, _why("Taken out", reason))


@transaction.atomic
def replace_load(
    *, load: ParallelLoad, new: ParallelLoad, by: str, member: Member, reason: str = ""
) -> ParallelLoad:
    """Take one load out and fit ``new`` in its stead, on the day ``new`` has been there since."""
    load = _in_state(load, LoadState.IN_PLACE, LoadState.DISCONNECTED)
    new.circuit, new.state, new.origin = load.circuit, LoadState.IN_PLACE, Origin.FITTED
    record_load(load=new, member=member, reason=reason)
    load.replaced_by = new
    _take_out(load, new.since, by, member, _why("Replaced", reason))
    return new


def _take_out(load: ParallelLoad, on: date, by: str, member: Member, reason: str) -> ParallelLoad:
    load.taken_out_on, load.taken_out_by = on, by
    return _move(load, LoadState.TAKEN_OUT, on, member, reason)


@transaction.atomic
def change_load(*, load: ParallelLoad, member: Member, reason: str) -> ParallelLoad:
    """Correct what an entry says about a load. What became of it stays as it is, whatever ``load`` holds."""
    now = _locked(load)
    for name in LIFE:
        setattr(load, name, getattr(now, name))
    if now.state_since == now.since:
        load.state_since = load.since
    _check_visit(load)
    _check_fitting(load)
    return save_record(load, member=member, reason=reason)


@transaction.atomic
def save_preset(*, preset: LoadPreset, member: Member) -> LoadPreset:
    """Keep one of the firm's own usual parts."""
    return save_record(preset, member=member)


def _locked(load: ParallelLoad) -> ParallelLoad:
    return ParallelLoad.objects.select_for_update().get(pk=load.pk)


def _in_state(load: ParallelLoad, *states: LoadState) -> ParallelLoad:
    """The load as it stands now, locked. Raises ValidationError when it is in none of ``states``."""
    load = _locked(load)
    if load.state not in states:
        raise ValidationError(_how_it_stands(load))
    return load


def _how_it_stands(load: ParallelLoad) -> str:
    day = f"{load.state_since:%-d %b %Y}"
    return {
        LoadState.SUSPECTED: "It is only suspected. Confirm it, or rule it out.",
        LoadState.IN_PLACE: f"It is already in place, since {day}.",
        LoadState.DISCONNECTED: f"It is already disconnected, since {day}.",
        LoadState.TAKEN_OUT: f"It is already taken out, on {day}.",
    }[LoadState(load.state)]


def _move(load: ParallelLoad, state: LoadState, on: date, member: Member, reason: str) -> ParallelLoad:
    if on < load.state_since:
        last = f"{load.state_since:%-d %b %Y}"
        raise ValidationError({"on": f"Its last entry is of {last}. Give that day or a later one."})
    load.state, load.state_since = state, on
    return save_record(load, member=member, reason=reason)
