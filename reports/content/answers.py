"""What a reviewer answered to the points of an inspection.

A point is known by its key: what it is about, and a digest of what it said. Once it says something else, the
answer no longer holds.
"""

import hashlib

from inspections.models import Inspection
from inspections.selectors import Located
from reports.content.values import day
from reports.models import PointAnswer


def key_of(*about: object, said: str) -> str:
    """The key of a point about ``about`` that says ``said``."""
    digest = hashlib.sha256(said.encode()).hexdigest()[:16]
    return " ".join((*(str(part) for part in about if part), digest))


def finding_key(item: Located) -> str:
    """The key of a finding at its place."""
    place = (
        f"circuit-{item.circuit.pk}" if item.circuit else f"board-{item.board.pk}" if item.board else "visit"
    )
    return key_of("finding", place, item.finding.code, item.finding.column, said=item.finding.summary)


def answers_of(inspection: Inspection) -> dict[str, PointAnswer]:
    """Answers by the key of their point."""
    rows = PointAnswer.objects.filter(inspection=inspection).select_related("answered_by")
    return {row.key: row for row in rows}


def as_content(answer: PointAnswer | None) -> dict[str, str | None] | None:
    """An answer as it stands in the record."""
    return answer and {"text": answer.text, "by": answer.answered_by.name, "on": day(answer.answered_on)}
