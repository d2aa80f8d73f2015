"""What stands in the way of issuing, each with the place where it is put right."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from inspections import origins
from inspections.columns import BY_NAME
from inspections.enums import Code as ObservationCode
from inspections.enums import InspectionKind, Outcome, StandingAnswer
from inspections.models import Circuit
from inspections.rules import interval as intervals
from inspections.rules import visual
from inspections.rules.finding import Code, Finding
from remedies.selectors import not_put_back
from reports.examination import WHOLE_INSTALLATION, Examination
from reports.points import grid_row, open_points

TO_ENTER = (Code.MISSING_READING, Code.DOES_APPLY, Code.NOT_A_NUMBER)
TO_COVER = (Code.LIM_WITHOUT_LIMITATION, Code.NOT_VERIFIED_UNEXPLAINED)
OF_POINTS = "To be answered by the reviewer"
CODED = frozenset(ObservationCode.values)


@dataclass(frozen=True)
class Block:
    """subject: what it is about, to list it under. text: what stands in the way and what to do. address:
    where to do it, with ``link`` to say so."""

    subject: str
    text: str
    address: str
    link: str


def blocks_of(seen: Examination) -> list[Block]:
    """Everything that stands in the way, subject by subject; nothing when the inspection may be issued."""
    return [block for check in CHECKS for block in check(seen)]


def _readings(seen: Examination) -> Iterator[Block]:
    if seen.inspection.kind == InspectionKind.FAULT:  # measures what it needs
        return
    for circuit, found in _by_circuit(seen, TO_ENTER):
        if not seen.covers(circuit):
            continue
        lacking = "nothing is entered" if circuit.pk not in seen.with_result else _names(found)
        yield Block(
            "Readings", f"{circuit} {circuit.description}: {lacking}.", grid_row(seen, circuit), "Enter"
        )


def _limitations(seen: Examination) -> Iterator[Block]:
    for circuit, found in _by_circuit(seen, TO_COVER):
        query = urlencode(
            {"tests": [one.column for one in found], "circuits": circuit.pk, "boards": circuit.board_id},
            doseq=True,
        )
        yield Block(
            "Limitations",
            f"{circuit} {circuit.description}: no limitation says why {_headings(found)} was not tested.",
            f"{reverse('limitation_add', args=[seen.inspection.pk])}?{query}",
            "Record the limitation",
        )
    for limitation in seen.limitations:
        if limitation.standing_answer == StandingAnswer.PENDING:
            yield Block(
                "Limitations",
                f"Standing from the last visit, not answered yet: {limitation.reason}",
                f"{reverse('inspection', args=[seen.inspection.pk])}#standing",
                "Answer",
            )


def _observations(seen: Examination) -> Iterator[Block]:
    for observation in seen.observations:
        change = reverse("observation_change", args=[observation.pk])
        if not observation.code:
            yield Block("Observations", f"No code yet: {observation.text}", change, "Give it a code")
        elif observation.code == ObservationCode.C1 and not (
            observation.action_on_day and observation.client_warned_on
        ):
            yield Block(
                "Observations",
                f"C1 needs what was done about it and when the client was warned: {observation.text}",
                change,
                "Say so",
            )
        if observation.photo and not observation.photo.storage.exists(observation.photo.name):
            yield Block("Observations", f"The photograph is gone: {observation.text}", change, "Add it again")


def _visual(seen: Examination) -> Iterator[Block]:
    outcomes = {row.item: row.outcome for row in seen.inspection.visual_outcomes.all()}
    made_from = {observation.made_from for observation in seen.observations}
    address = reverse("visual_items", args=[seen.inspection.pk])
    items = [item for area in visual.areas() for item in area.items]
    lacking = sum(item.key not in outcomes for item in items)
    if lacking and seen.inspection.kind in WHOLE_INSTALLATION:
        what = "1 item has" if lacking == 1 else f"{lacking} items have"
        yield Block("Visual inspection", f"{what} no outcome yet.", address, "Look at them")
    for item in items:
        outcome = outcomes.get(item.key)
        if outcome in CODED and origins.of_item(item.key) not in made_from:
            text = f"{Outcome(outcome).value} without an observation: {item.text}"
            yield Block("Visual inspection", text, f"{address}#{item.key}", "Record the observation")


def _report(seen: Examination) -> Iterator[Block]:
    inspection = seen.inspection
    if inspection.kind == InspectionKind.FAULT:
        return
    needed = {
        "extent": "What was covered is not written.",
        "general_condition": "The general condition is not written.",
    }
    for name, text in needed.items():
        if not getattr(inspection, name).strip():
            yield Block("Report", text, _change(seen, name), "Write it")
    yield from _next_due(seen)


def _next_due(seen: Examination) -> Iterator[Block]:
    inspection = seen.inspection
    longest = intervals.longest(inspection.installation.use)
    own_words = bool(inspection.next_due_reason.strip())
    address = _change(seen, "next_due_on")
    if inspection.next_due_on is None:
        at_most = f" At most {longest.words} is published." if longest else ""
        yield Block("Next inspection", f"The day it falls due is not set.{at_most}", address, "Set it")
    elif longest is None and not own_words:
        use = inspection.installation.get_use_display().lower()
        text = f"No interval is published for this use ({use}): give your reason for the date."
        yield Block("Next inspection", text, address, "Say why")
    elif longest and not own_words:
        latest = longest.ends(inspection.last_day)
        if inspection.next_due_on > latest:
            text = (
                f"Later than {longest.words}, which ends on {latest:%-d %b %Y}: say why, or bring it forward."
            )
            yield Block("Next inspection", text, address, "Say why")


def _instruments(seen: Examination) -> Iterator[Block]:
    inspection = seen.inspection
    used = list(inspection.instruments.all())
    if not used:
        yield Block("Instruments", "None is named.", _change(seen, "instruments"), "Say what was used")
    if inspection.calibration_explanation.strip():
        return
    for instrument in used:
        if not instrument.is_calibrated_on(inspection.last_day):
            until = instrument.calibrated_until
            ended = f"calibration ended {until:%-d %b %Y}" if until else "no calibration date is recorded"
            text = f"{instrument}: {ended}. Say why its readings may be relied on."
            yield Block("Instruments", text, _change(seen, "calibration_explanation"), "Explain")


def _loads(seen: Examination) -> Iterator[Block]:
    for load in not_put_back(seen.inspection.installation):
        text = (
            f"{load.circuit}: {load.describe()}, {load.place}, was disconnected for a test and not put back."
        )
        yield Block("Load register", text, reverse("load", args=[load.pk]), "Put it back, or take it out")


def _points(seen: Examination) -> Iterator[Block]:
    review = reverse("review", args=[seen.inspection.pk])
    for point in open_points(seen):
        text = f"{point.where}: {point.said}"
        yield Block(OF_POINTS, text, f"{review}#{point.anchor}", "Answer")


CHECKS: tuple[Callable[[Examination], Iterator[Block]], ...] = (
    _readings,
    _limitations,
    _observations,
    _visual,
    _loads,
    _instruments,
    _report,
    _points,
)


def _by_circuit(seen: Examination, codes: Iterable[Code]) -> list[tuple[Circuit, list[Finding]]]:
    """Findings of these codes, circuit by circuit in the order of boards and ways."""
    found = defaultdict(list)
    for item in seen.located:
        if item.circuit and item.finding.code in codes:
            found[item.circuit].append(item.finding)
    return sorted(found.items(), key=lambda pair: (pair[0].board.sort_key, pair[0].sort_key))


def _headings(found: Iterable[Finding]) -> str:
    return ", ".join(BY_NAME[one.column].heading for one in found if one.column)


def _names(found: Iterable[Finding]) -> str:
    return f"to be entered: {_headings(found)}"


def _change(seen: Examination, field: str) -> str:
    return f"{reverse('inspection_change', args=[seen.inspection.pk])}#id_{field}"
