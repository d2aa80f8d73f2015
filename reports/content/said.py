"""What was said at an inspection: findings, limitations, observations and visual outcomes."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django.db.models.functions import Coalesce

from inspections.enums import Code
from inspections.models import Inspection, Limitation, Observation
from inspections.rules import visual
from inspections.selectors import Located
from reports.content.values import Photos, Places, choice, day, text

URGENCY = ("", Code.C1, Code.C2, Code.FI, Code.C3)


def finding(item: Located, places: Places, answer: dict[str, Any] | None) -> dict[str, Any]:
    """answer: what the reviewer answered, as ``answers.as_content`` gives it."""
    found = item.finding
    return {
        "severity": found.severity.value,
        "code": found.code.value,
        "column": found.column or "",
        "place": places.of(item.board and item.board.pk, item.circuit),
        "summary": found.summary,
        "working": found.working,
        "figures": [list(figure) for figure in found.figures],
        "reference": found.reference,
        "answer": answer,
    }


class Standing:
    """How long limitations have stood: from which inspection each was carried, over how many visits."""

    def __init__(self, inspection: Inspection):
        rows = Limitation.objects.filter(inspection__installation=inspection.installation_id)
        since = Coalesce("known_since", "inspection__started_on")
        self._rows = {
            pk: rest for pk, *rest in rows.values_list("pk", "carried_from", since, "visits_elsewhere")
        }

    def of(self, limitation: Limitation) -> tuple[date, int]:
        """The day of the inspection that first recorded it, and the inspections it has stood at, those of
        another firm whose report was brought in among them."""
        pk, visits = limitation.pk, 1
        while (before := self._rows[pk][0]) is not None:
            pk, visits = before, visits + 1
        _, since, elsewhere = self._rows[pk]
        return since, visits + elsewhere


def limitations(inspection: Inspection, places: Places) -> list[dict[str, Any]]:
    """Every limitation in the order it was recorded, those lifted at this visit among them."""
    standing = Standing(inspection)
    rows = inspection.limitations.prefetch_related("boards", "circuits__board").order_by("pk")
    return [_limitation(number, row, places, *standing.of(row)) for number, row in enumerate(rows, start=1)]


def _limitation(number: int, row: Limitation, places: Places, since: date, visits: int) -> dict[str, Any]:
    return {
        "number": number,
        "kind": choice(row, "kind"),
        "tests": list(row.tests),
        "tests_words": list(row.test_headings),
        "scope": choice(row, "scope"),
        "boards": _numbers(places.board, row.boards.all()),
        "circuits": _numbers(places.circuit, row.circuits.all()),
        "where": where(row),
        "reason": row.reason,
        "agreed_with": row.agreed_with,
        "agreed_on": day(row.agreed_on),
        "agreed_how": row.agreed_how,
        "is_standing": row.is_standing,
        "standing_answer": choice(row, "standing_answer"),
        "since": day(since),
        "visits": visits,
    }


def where(limitation: Limitation) -> str:
    """What a limitation covers, in words."""
    return {
        "whole": "the whole installation",
        "boards": ", ".join(board.designation for board in limitation.boards.all()),
        "circuits": ", ".join(str(circuit) for circuit in limitation.circuits.all()),
    }[limitation.scope]


def _numbers(by_pk: Mapping[int, int], rows: Iterable[Any]) -> list[int]:
    return sorted(by_pk[row.pk] for row in rows if row.pk in by_pk)


def observations(inspection: Inspection, places: Places, photos: Photos) -> list[dict[str, Any]]:
    """The most urgent first, numbered so."""
    rows = inspection.observations.select_related("board", "circuit__board").order_by("pk")
    rows = sorted(rows, key=lambda row: URGENCY.index(row.code))
    return [
        {
            "number": number,
            "code": {"key": row.code, "words": row.get_code_display()},
            "text": row.text,
            "place": places.of(row.board_id, row.circuit),
            "where": _where_seen(row),
            "regulation": row.regulation,
            "made_from": row.made_from,
            "action_on_day": row.action_on_day,
            "client_warned_on": day(row.client_warned_on),
            "photo": photos.take(row.photo),
            "put_right": row.put_right_on
            and {"on": day(row.put_right_on), "by": row.put_right_by, "evidence": row.evidence},
        }
        for number, row in enumerate(rows, start=1)
    ]


def _where_seen(row: Observation) -> str:
    on = str(row.circuit) if row.circuit else row.board.designation if row.board else ""
    return ", ".join(part for part in (on, row.place) if part)


def visual_areas(inspection: Inspection) -> list[dict[str, Any]]:
    """Areas in the order one walks through them, each with its items. An item that has no outcome yet has an
    empty one; an area of none is left out."""
    answers = {row.item: row for row in inspection.visual_outcomes.all()}
    areas = []
    for area in visual.areas():
        items = [_item(item, answers.get(item.key)) for item in area.items]
        if any(item["outcome"] for item in items):
            areas.append({"key": area.key, "name": area.name, "items": items})
    return areas


def _item(item: visual.VisualItem, answer) -> dict[str, Any]:
    return {
        "key": item.key,
        "text": item.text,
        "regulation": item.source.clause,
        "regulation_from_memory": item.source.from_memory,
        "outcome": text(answer and answer.outcome),
        "remark": text(answer and answer.remark),
    }
