"""A planned spreadsheet brought into the record, all at once or not at all."""

from django.db import transaction
from django.utils import timezone

from inspections.columns import DETAILS
from inspections.models import Board, BoardResult, Circuit, CircuitResult, Inspection, Upload
from inspections.services.intake_plan import plan_intake, read_upload
from inspections.services.intake_planned import IntakePlan, board_key
from inspections.services.record import create_records, keep_history_of_changed, save_record
from inspections.services.results import TypedRow, record_results
from inspections.services.visits import record_limitation

_DETAIL_NAMES = tuple(column.name for column in DETAILS if column.name != "designation")


class RecordMoved(Exception):
    """The record changed between preview and commit, so the preview no longer tells what would happen."""


@transaction.atomic
def commit_intake(*, upload: Upload, digest: str, member) -> IntakePlan:
    """Bring an upload into the record in one transaction.

    Raises RecordMoved when the plan is no longer the one shown (``digest``), InspectionClosed when results
    may not be entered, ValidationError when the record refuses something; nothing is then written.
    """
    inspection = (
        Inspection.objects.select_for_update().select_related("installation").get(pk=upload.inspection_id)
    )
    plan = plan_intake(read_upload(upload), inspection, upload.choices)
    if plan.digest != digest:
        raise RecordMoved
    reason = f"From {upload.name}"[:100]
    boards = _commit_boards(plan, inspection, member, reason)
    circuits = _commit_circuits(plan, boards, member, reason)
    _commit_readings(plan, inspection, boards, circuits, member, reason)
    for limitation in plan.limitations:
        record_limitation(
            limitation=limitation.limitation,
            boards=[boards[name] for name in limitation.boards],
            circuits=[circuits[key] for key in limitation.circuits],
            member=member,
        )
    for other in plan.others.values():
        other.commit(lambda plan: circuits[(plan.board, plan.way.upper(), plan.phase)], member)
    upload.committed_at = timezone.now()
    save_record(upload, member=member)
    return plan


def _commit_boards(plan, inspection, member, reason):
    standing = {board.designation: board for board in inspection.installation.boards.in_use()}
    for designation, fact in plan.new_boards.items():
        board = Board(
            installation=inspection.installation,
            designation=designation,
            location=fact["location"],
            phases=fact["phases"],
            main_switch=fact.get("main_switch", ""),
        )
        standing[designation] = save_record(board, member=member, reason=reason)
    keys = {board_key(name): board for name, board in standing.items()}
    for designation, fact in plan.new_boards.items():
        if feeder := keys.get(board_key(fact.get("fed_from", ""))):
            standing[designation].fed_from = feeder
            save_record(standing[designation], member=member, reason=reason)
    return standing


def _commit_circuits(plan, boards, member, reason):
    every = Circuit.objects.in_use().filter(board__in=boards.values()).select_related("board")
    circuits = {(c.board.designation, c.way.upper(), c.phase): c for c in every}
    new, changed = [], []
    for key, planned in plan.circuits.items():
        circuit = planned.circuit and circuits[key]
        if circuit is None:
            circuit = Circuit(board=boards[planned.board], way=planned.way, phase=planned.phase)
            new.append(circuit)
        elif any(getattr(circuit, name) != value for name, value in planned.details.items()):
            changed.append(circuit)
        for name, value in planned.details.items():
            setattr(circuit, name, value)
        circuit.clean_fields(exclude=["board"])
    create_records(new, member=member, reason=reason)
    names = [*_DETAIL_NAMES, "arrangement", "serves", "serves_lighting", "is_spare"]
    Circuit.objects.bulk_update(changed, names)
    keep_history_of_changed(changed, member=member, reason=reason)
    return circuits | {(c.board.designation, c.way.upper(), c.phase): c for c in new}


def _commit_readings(plan, inspection, boards, circuits, member, reason):
    for designation, readings in plan.board_readings.items():
        board = boards[designation]
        result = inspection.board_results.filter(board=board).first() or BoardResult(
            inspection=inspection, board=board
        )
        for name, text in readings.items():
            setattr(result, name, text)
        save_record(result, member=member, reason=reason)
    if plan.ze:
        inspection.ze = plan.ze
        save_record(inspection, member=member, reason=reason)
    versions = dict(CircuitResult.objects.filter(inspection=inspection).values_list("circuit", "version"))
    rows = [
        TypedRow(circuits[key].pk, versions.get(circuits[key].pk, 0), planned.readings)
        for key, planned in plan.circuits.items()
        if planned.readings
    ]
    record_results(inspection=inspection, rows=rows, member=member, reason=reason)
