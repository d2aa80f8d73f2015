"""Writing the rows of one record: checked, with from which report they came in their history."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import DatabaseError, transaction

from inspections.models import Board, Circuit, Inspection, Installation, Member
from inspections.services.record import create_records, save_record
from reports.intake.read import ReadRecord, RecordIntakeError
from reports.intake.told import refuse
from reports.intake.uploads import RecordUpload
from reports.words import Content

_NOT_KEPT = (DatabaseError, OverflowError)  # a number beyond its column, two rows in one place


class Rows:
    """What was made of a record so far. boards, circuits: by their numbers in the record. left_out: what
    stays behind or differs, in words."""

    installation: Installation
    inspection: Inspection

    def __init__(self, read: ReadRecord, upload: RecordUpload, member: Member, *, keep_photos: bool):
        self.content, self._photos = read.content, read.photos if keep_photos else {}
        self.member, self._reason = member, f"From {upload}"[:100]
        self.boards: dict[int, Board] = {}
        self.circuits: dict[int, Circuit] = {}
        self.left_out: list[str] = []

    def save(self, row: Any, where: str) -> Any:
        """One row with its photograph. where: the part of the record it is made of, in words."""
        try:
            return save_record(row, member=self.member, reason=self._reason)
        except ValidationError as error:
            refuse(where, "; ".join(error.messages))
        except _NOT_KEPT:
            refuse(where, "the database does not take it.")

    def create(self, rows: Iterable[Any], where: str) -> None:
        """Many rows that were checked, at once."""
        try:
            with transaction.atomic():
                create_records(list(rows), member=self.member, reason=self._reason)
        except _NOT_KEPT:
            refuse(f"the {where}", "they do not fit together.")

    def take_photo(self, row: Any, told: Content | None) -> None:
        if told and told["sha256"] in self._photos:
            row.photo.save(told["name"], ContentFile(self._photos[told["sha256"]]), save=False)


def check(row: Any, where: str, exclude: list[str]) -> None:
    """Every field of a row that is made with many others."""
    try:
        row.full_clean(exclude=exclude, validate_unique=False, validate_constraints=False)
    except ValidationError as error:
        refuse(where, "; ".join(error.messages))


def find(rows: Mapping[int, Any], number: int, where: str) -> Any:
    """The row made of the board or circuit with that number."""
    if number not in rows:
        raise RecordIntakeError(f"The record names a place that is not in it ({where}). Nothing came in.")
    return rows[number]
