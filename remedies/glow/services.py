"""What is done with a glow worksheet: opened, filled in, ended by fitting a remedy or without a part.

Each function raises ValidationError, in words for the person, when it cannot be done.
"""

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from inspections.models import Circuit, Member
from inspections.services.record import save_record
from remedies.enums import Connection, GlowStatus, LoadState, Origin
from remedies.glow import table
from remedies.glow.asked import answers_of
from remedies.glow.basis import sources_of
from remedies.glow.candidates import Candidate, candidates
from remedies.glow.inputs import Inputs, inputs_of
from remedies.glow.sheet import GlowSheet, glow_sheet
from remedies.models import GlowWorksheet, LoadPreset, ParallelLoad
from remedies.physics.checked import InputError
from remedies.services import record_load

ENDED = "This worksheet is ended and kept as it is. Open another for what is found later."


@transaction.atomic
def open_worksheet(*, circuit: Circuit, complaint: str, on: date, member: Member) -> GlowWorksheet:
    """Open a worksheet for the lamps of a circuit."""
    worksheet = GlowWorksheet(circuit=circuit, complaint=complaint, opened_on=on, opened_by=member)
    return save_record(worksheet, member=member, reason="Opened")


@transaction.atomic
def record_worksheet(
    *, worksheet: GlowWorksheet, entered: Mapping[str, Any], member: Member
) -> GlowWorksheet:
    """Keep what was entered: fields of the worksheet by name, whole sections of the page among them.

    Raises ValidationError when the worksheet is ended, or when what it would hold cannot be.
    """
    now = _open(worksheet)
    apply(now, entered)
    _check(now)
    return save_record(now, member=member, reason="Filled in")


def apply(worksheet: GlowWorksheet, entered: Mapping[str, Any]) -> None:
    """Put what was entered into a worksheet without keeping it. Sections add up; the rest replaces."""
    for name, value in entered.items():
        merged = {**worksheet.inputs, **value} if name == "inputs" else value
        setattr(worksheet, name, merged)


def _check(worksheet: GlowWorksheet) -> Inputs:
    for key, answer in worksheet.answers.items():
        if answer and answer not in answers_of(key):
            raise ValidationError(
                {"answers": f"“{answer}” is not an answer to “{key}”. Choose one of those shown."}
            )
    try:
        return inputs_of(worksheet)
    except InputError as error:
        raise ValidationError(str(error)) from error


def sheet_of(worksheet: GlowWorksheet, *, with_slow: bool = True) -> GlowSheet:
    """All that a worksheet says, as it stands or as it was ended."""
    ended = not worksheet.is_open
    return glow_sheet(
        inputs_of(worksheet),
        chosen=worksheet.chosen,
        presets=[] if ended else presets_of(worksheet),
        with_slow=with_slow and not ended,
        kept=table.from_record(worksheet.compared) if ended else (),
        fitted=worksheet.load,
    )


def presets_of(worksheet: GlowWorksheet) -> list[LoadPreset]:
    """The usual parts of the firm whose worksheet it is."""
    return list(LoadPreset.objects.for_firm(worksheet.circuit.board.installation.client.firm))


@transaction.atomic
def fit_remedy(
    *,
    worksheet: GlowWorksheet,
    chosen: str,
    place: str,
    on: date,
    member: Member,
    access: str = "",
    access_minutes: int | None = None,
    is_hidden: bool = True,
) -> ParallelLoad:
    """Enter the chosen remedy in the load register as fitted, with the worksheet behind it.

    Refused where no part may be calculated, where the part is used beyond its rating or leaves the lamp
    glowing, and before a cause is concluded. The board label is out of date by it.
    """
    worksheet = _open(worksheet)
    _check_concluded(worksheet)
    given = _check(worksheet)
    sheet = sheet_of(worksheet)
    if sheet.no_part:
        raise ValidationError({"chosen": " ".join(sheet.no_part)})
    row = table.chosen_of(sheet.remedies, chosen)
    if row is None:
        raise ValidationError({"chosen": "Choose the remedy again: it is not among those calculated now."})
    _check_serves(row)
    load = _candidate(worksheet, given, chosen).load
    load.circuit, load.place, load.access = worksheet.circuit, place, access
    load.access_minutes, load.is_hidden = access_minutes, is_hidden
    load.connection, load.state, load.origin = Connection.SWITCHED_L_N, LoadState.IN_PLACE, Origin.FITTED
    load.since = on
    load.reason = f"Lamps glowed when off: {worksheet.get_cause_display()}"[:200]
    record_load(load=load, member=member, reason=f"Glow worksheet of {worksheet.opened_on:%-d %b %Y}")
    worksheet.load, worksheet.chosen = load, chosen
    _end(worksheet, GlowStatus.FITTED, sheet, on, f"Fitted: {row.title}, {place}"[:300], member)
    return load


def _check_concluded(worksheet: GlowWorksheet) -> None:
    if not worksheet.cause:
        raise ValidationError({"cause": "Say first which cause you found: the remedy follows from it."})


def _check_serves(row: table.Remedy) -> None:
    if row.refused:
        raise ValidationError({"chosen": f"Refused: {row.reasons[0]}"})
    if not row.serves:
        raise ValidationError({"chosen": f"It does not serve. {row.reasons[0]}"})


def _candidate(worksheet: GlowWorksheet, given: Inputs, chosen: str) -> Candidate:
    parts: Iterator[Candidate] = iter(
        candidates(sources_of(given), given.conditions, presets_of(worksheet), given.own)
    )
    return next(one for one in parts if one.key == chosen)


@transaction.atomic
def close_worksheet(*, worksheet: GlowWorksheet, outcome: str, on: date, member: Member) -> GlowWorksheet:
    """End a case without a part left across the circuit: rerouted, a fault put right, nothing to cure."""
    worksheet = _open(worksheet)
    _check_concluded(worksheet)
    _check(worksheet)
    return _end(worksheet, GlowStatus.CLOSED, sheet_of(worksheet), on, outcome, member)


def _end(
    worksheet: GlowWorksheet, status: GlowStatus, sheet: GlowSheet, on: date, outcome: str, member: Member
) -> GlowWorksheet:
    worksheet.status, worksheet.outcome = status, outcome
    worksheet.ended_on, worksheet.ended_by = on, member
    worksheet.compared = [asdict(row) for row in sheet.remedies]
    return save_record(worksheet, member=member, reason=GlowStatus(status).label)


def _open(worksheet: GlowWorksheet) -> GlowWorksheet:
    """The worksheet as it stands now, locked. Raises ValidationError once it was ended."""
    locked = GlowWorksheet.objects.select_for_update(of=("self",)).select_related(
        "circuit__board__installation__client__firm"
    )
    now = locked.get(pk=worksheet.pk)
    if not now.is_open:
        raise ValidationError(ENDED)
    return now
