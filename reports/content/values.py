"""Single values as they stand in a record: figures as text, dates as ISO text, and what a file was."""

import hashlib
from collections.abc import Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import PurePath
from typing import Any

from django.db.models import Model
from django.db.models.fields.files import FieldFile

from inspections.models import Circuit, Member
from inspections.rules.finding import Source
from inspections.rules.readings import Reading
from remedies.wording import plain


def text(value: Reading | Decimal | str | int | None) -> str:
    """A value as it is written on paper; empty for one that is not there."""
    if value is None:
        return ""
    return plain(value) if isinstance(value, Decimal) else str(value)


def day(value: date | None) -> str | None:
    return value.isoformat() if value else None


def moment(value: datetime) -> str:
    """To the second, in UTC: ``2026-11-25T15:04:05Z``."""
    return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def choice(row: Model, name: str) -> dict[str, str]:
    """A choice by its key and in words."""
    return {"key": getattr(row, name), "words": getattr(row, f"get_{name}_display")()}


def person(member: Member) -> dict[str, str]:
    return {
        "name": member.name,
        "role": member.get_role_display(),
        "qualification": member.qualification,
    }


def source(of: Source) -> dict[str, Any]:
    return {"publication": of.publication, "clause": of.clause, "from_memory": of.from_memory}


class Places:
    """Where things are, by the numbers that boards and circuits have within the record."""

    def __init__(self, boards: Mapping[int, int], circuits: Mapping[int, int]):
        self.board, self.circuit = boards, circuits

    def of(self, board_id: int | None, circuit: Circuit | None) -> dict[str, int | None]:
        """``board`` and ``circuit``; both None is the installation itself."""
        board_id = circuit.board_id if circuit else board_id
        return {
            "board": self.board.get(board_id),
            "circuit": self.circuit.get(circuit.pk) if circuit else None,
        }


class Photos:
    """Photographs met while the content was gathered: their bytes by SHA-256."""

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}

    def take(self, file: FieldFile) -> dict[str, str] | None:
        """The name and hash of a photograph. The hash is empty where the file itself is gone."""
        if not file:
            return None
        name = PurePath(file.name).name
        try:
            with file.storage.open(file.name) as opened:
                content = opened.read()
        except FileNotFoundError:
            return {"name": name, "sha256": ""}
        digest = hashlib.sha256(content).hexdigest()
        self.kept[digest] = content
        return {"name": name, "sha256": digest}
