"""Copying and retiring circuits."""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from inspections.models import Board, Circuit, Member
from inspections.services.record import create_records, delete_record, save_record

_NOT_COPIED = ("id", "board", "retired_on", "sort_key")


@transaction.atomic
def copy_circuits(*, source: Board, target: Board, member: Member) -> list[Circuit]:
    """Copy the circuits in use of one board to another whose ways are still free.

    Raises ValidationError naming the ways that are taken; nothing is then copied.
    """
    wanted = list(source.circuits.in_use())
    taken = set(target.circuits.in_use().values_list("way", flat=True)) & {circuit.way for circuit in wanted}
    if taken:
        ways = ", ".join(sorted(taken))
        raise ValidationError(f"Nothing was copied: {target.designation} already has circuits on way {ways}.")
    names = [field.name for field in Circuit._meta.concrete_fields if field.name not in _NOT_COPIED]
    copies = [Circuit(board=target, **{name: getattr(circuit, name) for name in names}) for circuit in wanted]
    return create_records(copies, member=member, reason=f"Copied from {source.designation}")


@transaction.atomic
def retire_circuit(*, circuit: Circuit, on: date, member: Member) -> None:
    """End a circuit. One without results, limitations or loads is deleted; one with any is kept, retired."""
    has_record = (
        circuit.results.exists()
        or circuit.parallel_loads.exists()
        or circuit.limitations.exists()
        or circuit.observations.exists()
    )
    if has_record:
        circuit.retired_on = on
        save_record(circuit, member=member, reason="Retired")
    else:
        delete_record(circuit, member=member)
