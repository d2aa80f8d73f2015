"""What a reviewer answers before an inspection is issued.

Each finding out of limit, each that disagrees, each reading the load register does not explain, each limit
set by hand, and each change of what a limit rests on asks for an answer, unless an observation was made of
it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from django.urls import reverse

from inspections.models import Circuit, Observation
from inspections.rules.finding import Code, Finding, Severity
from inspections.selectors import Located
from remedies.explained import Explained
from reports.content.answers import finding_key, key_of
from reports.examination import Examination
from reports.models import PointAnswer

ASKS = (Severity.OUT_OF_LIMIT, Severity.DISAGREES)
# Incomplete, yet not to be had from every installation: the reviewer says why it may go out without.
DETAILS_LACKING = (Code.MISSING_DETAIL, Code.ZS_LIMIT_UNKNOWN)
LIVE_LIVE = "ir_live_live"


class About(StrEnum):
    """What a point is about; the value is its heading."""

    FINDING = "Out of limit, or at odds"
    UNEXPLAINED = "Readings the load register does not explain"
    BY_HAND = "Limits set by hand"
    LACKING = "Details without which something cannot be judged"
    CHANGED = "Changed since the last time"


@dataclass(frozen=True)
class Point:
    """key: to answer it by. said: what it says, to the letter. address: the place in the record. observe:
    where to make an observation of it, or empty. answer, observation: what was done, None while nothing was.
    """

    key: str
    about: About
    where: str
    description: str
    said: str
    address: str
    observe: str = ""
    finding: Finding | None = None
    explained: Explained | None = None
    answer: PointAnswer | None = None
    observation: Observation | None = None

    @property
    def is_open(self) -> bool:
        """Whether it still asks for an answer."""
        return self.answer is None and self.observation is None

    @property
    def anchor(self) -> str:
        """The digest in its key, to link to it on its page."""
        return f"point-{self.key.rpartition(' ')[2]}"


def points_of(seen: Examination) -> list[Point]:
    """Every point, in the order of ``About``, then worst first."""
    points = [*_of_findings(seen), *_unexplained(seen), *_changed(seen)]
    order = list(About)
    return sorted(points, key=lambda point: order.index(point.about))


def open_points(seen: Examination) -> list[Point]:
    """Those that still ask for an answer."""
    return [point for point in points_of(seen) if point.is_open]


def _of_findings(seen: Examination) -> Iterator[Point]:
    for item in seen.located:
        if (about := _asks(item.finding)) and (item.circuit is None or seen.covers(item.circuit)):
            explained = (
                seen.explained.get(item.circuit.pk)
                if item.circuit and item.finding.column == LIVE_LIVE
                else None
            )
            key = finding_key(item)
            yield Point(
                key,
                about,
                where(item),
                item.circuit.description if item.circuit else "",
                item.finding.summary,
                place(seen, item),
                observe=_observe(seen, item),
                finding=item.finding,
                explained=explained,
                answer=seen.answers.get(key),
                observation=item.made_into(seen.observations),
            )


def _observe(seen: Examination, item: Located) -> str:
    if not item.observation_text:
        return ""
    return f"{reverse('observation_add', args=[seen.inspection.pk])}?{item.observation_query}"


def _asks(finding: Finding) -> About | None:
    if finding.severity in ASKS:
        return About.FINDING
    if finding.code is Code.ZS_LIMIT_TYPED_DIFFERS:
        return About.BY_HAND
    return About.LACKING if finding.code in DETAILS_LACKING else None


def _unexplained(seen: Examination) -> Iterator[Point]:
    """Where no finding asks about the same reading already."""
    asked = {
        item.circuit.pk
        for item in seen.located
        if item.circuit and item.finding.column == LIVE_LIVE and _asks(item.finding)
    }
    for pk, explained in seen.explained.items():
        if not explained.is_unexplained or pk in asked:
            continue
        circuit = explained.circuit
        said = f"Live-live {explained.result.ir_live_live} MΩ. {explained.summary}"
        key = key_of("unexplained", f"circuit-{pk}", said=said)
        yield Point(
            key,
            About.UNEXPLAINED,
            str(circuit),
            circuit.description,
            said,
            grid_row(seen, circuit),
            explained=explained,
            answer=seen.answers.get(key),
        )


def _changed(seen: Examination) -> Iterator[Point]:
    for change in seen.changes:
        circuit = seen.circuits.get(change.where)
        if not change.bears_on_limit or circuit is None:
            continue
        key = key_of("changed", f"circuit-{circuit.pk}", said=change.words)
        yield Point(
            key,
            About.CHANGED,
            change.where,
            circuit.description,
            change.words,
            reverse("circuit", args=[circuit.pk]),
            answer=seen.answers.get(key),
        )


def where(item: Located) -> str:
    """The place of a finding, in words."""
    if item.circuit:
        return str(item.circuit)
    return item.board.designation if item.board else "The visit"


def place(seen: Examination, item: Located) -> str:
    """The address of the place a finding is about."""
    if item.circuit:
        return grid_row(seen, item.circuit)
    if item.board:
        return reverse("results_grid", args=[seen.inspection.pk, item.board.pk])
    return reverse("inspection", args=[seen.inspection.pk])


def grid_row(seen: Examination, circuit: Circuit) -> str:
    return reverse("results_grid", args=[seen.inspection.pk, circuit.board_id]) + f"#row-{circuit.pk}"
