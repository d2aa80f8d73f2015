"""One look at an inspection before it is issued: what the checks found, what was said of it, what is still
open. Blocks and points are read from the same look."""

from functools import cached_property

from inspections.enums import InspectionKind, LimitationScope
from inspections.models import Circuit, CircuitResult, Inspection, Limitation, Observation
from inspections.selectors import Located, findings_of
from remedies.explained import Explained, explanations_of
from reports.changes import Change, changes_since
from reports.content import content_of
from reports.content.answers import answers_of
from reports.content.said import Standing
from reports.models import IssuedRecord, PointAnswer

WHOLE_INSTALLATION = (InspectionKind.PERIODIC, InspectionKind.INITIAL)


class Examination:
    """Everything is read once, when it is first asked for. ``inspection`` must come with its installation,
    client and firm at hand."""

    def __init__(self, inspection: Inspection):
        self.inspection = inspection

    @cached_property
    def located(self) -> list[Located]:
        return findings_of(self.inspection)

    @cached_property
    def observations(self) -> list[Observation]:
        return list(self.inspection.observations.select_related("board", "circuit__board"))

    @cached_property
    def limitations(self) -> list[Limitation]:
        return list(self.inspection.limitations.prefetch_related("boards", "circuits__board"))

    @cached_property
    def answers(self) -> dict[str, PointAnswer]:
        return answers_of(self.inspection)

    @cached_property
    def explained(self) -> dict[int, Explained]:
        """By circuit id."""
        return {one.circuit.pk: one for one in explanations_of(self.inspection)}

    @cached_property
    def results(self) -> list[CircuitResult]:
        return list(self.inspection.results.select_related("circuit"))

    @cached_property
    def with_result(self) -> set[int]:
        """Ids of the circuits that anything was entered for."""
        return {result.circuit_id for result in self.results}

    def results_under(self, limitation: Limitation) -> list[CircuitResult]:
        """Results of the circuits that a limitation covers."""
        boards = {board.pk for board in limitation.boards.all()}
        circuits = {circuit.pk for circuit in limitation.circuits.all()}
        return [
            result
            for result in self.results
            if limitation.scope == LimitationScope.WHOLE
            or result.circuit.board_id in boards
            or result.circuit_id in circuits
        ]

    def covers(self, circuit: Circuit) -> bool:
        """Whether the visit is about this circuit: an alteration or a fault visit, those it measured."""
        return self.inspection.kind in WHOLE_INSTALLATION or circuit.pk in self.with_result

    @cached_property
    def standing(self) -> Standing:
        return Standing(self.inspection)

    @cached_property
    def content(self) -> dict:
        return content_of(self.inspection)

    @cached_property
    def changes(self) -> list[Change]:
        """Since the inspection it follows; empty where it follows none."""
        before = self.inspection.based_on
        return changes_since(_content_then(before), self.content) if before else []

    @cached_property
    def circuits(self) -> dict[str, Circuit]:
        """Those in use, by name: ``DB1/3 L2``."""
        rows = Circuit.objects.in_use().filter(board__installation=self.inspection.installation_id)
        return {str(row): row for row in rows.select_related("board")}


def _content_then(inspection: Inspection) -> dict:
    """The content as last issued. Where it was issued elsewhere, circuits are told as they stand now, and
    only those that have a result there."""
    record = IssuedRecord.objects.filter(inspection=inspection).order_by("revision").last()
    if record:
        return record.read()
    content = content_of(inspection)
    for board in content["boards"]:
        board["circuits"] = [circuit for circuit in board["circuits"] if circuit["result"]]
    return content
