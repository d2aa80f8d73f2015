"""The page of visual items: what was typed, and what is shown, area by area."""

from collections.abc import Mapping
from dataclasses import dataclass

from inspections import origins
from inspections.enums import Code, Outcome
from inspections.models import Inspection, Observation
from inspections.rules import visual
from inspections.services.visual import Answer, Recorded, TypedAnswer, answer_of

# The key that chooses each outcome, beside what it chooses.
KEYS = {
    Outcome.PASS: "y",
    Outcome.C1: "1",
    Outcome.C2: "2",
    Outcome.C3: "3",
    Outcome.FI: "f",
    Outcome.NOT_VERIFIED: "v",
    Outcome.LIM: "l",
    Outcome.NOT_APPLICABLE: "n",
}
NO_ANSWER_KEY = "0"


@dataclass(frozen=True)
class Choice:
    """One outcome that may be chosen. ``key``: the key that chooses it."""

    value: str
    text: str
    meaning: str
    key: str


CHOICES = (
    *(Choice(outcome.value, outcome.value, outcome.label, key) for outcome, key in KEYS.items()),
    Choice("", "—", "not answered yet", NO_ANSWER_KEY),
)


@dataclass(frozen=True)
class Row:
    """One item on the page.

    answer: what the page shows chosen. standing: what the record holds. problem: why it was not saved.
    observation: the one made from it.
    """

    item: visual.VisualItem
    answer: Answer
    standing: Answer
    problem: str = ""
    observation: Observation | None = None

    @property
    def asks_for_observation(self) -> bool:
        return self.standing.outcome in Code.values and self.observation is None

    @property
    def is_limited(self) -> bool:
        return self.standing.outcome == Outcome.LIM

    @property
    def origin(self) -> str:
        return origins.of_item(self.item.key)


@dataclass(frozen=True)
class AreaRows:
    area: visual.VisualArea
    rows: tuple[Row, ...]

    @property
    def answered(self) -> int:
        return sum(bool(row.standing.outcome) for row in self.rows)


def typed_answers(posted: Mapping[str, str]) -> list[TypedAnswer]:
    """The items of a submitted page: ``<item>.outcome``, ``.remark``, and ``.seen``/``.seen_remark``, which
    say what stood there."""
    return [
        TypedAnswer(
            item.key,
            Answer(posted.get(f"{item.key}.outcome", ""), posted.get(f"{item.key}.remark", "").strip()),
            seen=Answer(
                posted.get(f"{item.key}.seen_outcome", ""), posted.get(f"{item.key}.seen_remark", "")
            ),
        )
        for area in visual.areas()
        for item in area.items
        if f"{item.key}.remark" in posted
    ]


def area_rows(
    inspection: Inspection, typed: list[TypedAnswer] | None = None, recorded: Recorded | None = None
) -> list[AreaRows]:
    """What the page shows: the record, and of ``typed`` what was refused, or all of it where nothing was
    ``recorded``."""
    standing = {row.item: answer_of(row) for row in inspection.visual_outcomes.all()}
    pages = {one.item: one.answer for one in typed or ()}
    refused = recorded.refused if recorded else dict.fromkeys(pages, "")
    made = {row.made_from: row for row in inspection.observations.exclude(made_from="")}

    def row_of(item: visual.VisualItem) -> Row:
        now = standing.get(item.key, Answer())
        return Row(
            item,
            answer=pages[item.key] if item.key in refused else now,
            standing=now,
            problem=refused.get(item.key, ""),
            observation=made.get(origins.of_item(item.key)),
        )

    return [AreaRows(area, tuple(row_of(item) for item in area.items)) for area in visual.areas()]
