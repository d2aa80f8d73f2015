"""From the record to its content, all in one place and in a settled order."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from inspections.models import Firm, Inspection, Installation, Instrument, Member
from inspections.rules import edition as editions
from inspections.rules import interval as intervals
from inspections.selectors import board_records, findings_of, outcome_of
from remedies.bridge import insulation_tester_of
from remedies.cautions import GENERAL
from remedies.explained import explanations_of
from remedies.models import ParallelLoad
from reports.changes import changes_between
from reports.content import said
from reports.content.answers import answers_of, as_content, finding_key
from reports.content.boards import BoardsContent, in_tree_order, places_of
from reports.content.canonical import SCHEMA
from reports.content.register import load_register
from reports.content.values import Photos, choice, day, moment, person, source, text
from reports.signature import Signature


@dataclass(frozen=True)
class Issue:
    """What issuing adds to the content.

    previous_sha256: of the firm's record issued before, empty for its first. replaces_sha256, former: hash
    and content of the former revision; empty and None for the first. what_changed: since then, in words.
    signature: drawn by whoever issues it, or None.
    """

    number: int
    revision: int
    at: datetime
    day: date
    by: Member
    previous_sha256: str
    replaces_sha256: str = ""
    what_changed: str = ""
    former: dict[str, Any] | None = None
    signature: Signature | None = None


@dataclass(frozen=True)
class Gathered:
    """Content, and the photographs it names by their SHA-256."""

    content: dict[str, Any]
    photos: dict[str, bytes]


def content_of(inspection: Inspection) -> dict[str, Any]:
    """Everything the report of an inspection says, as it stands now and not issued."""
    return gather(inspection).content


def gather(inspection: Inspection, issue: Issue | None = None) -> Gathered:
    """The content with its photographs. The number of queries does not grow with boards or circuits."""
    photos = Photos()
    installation = inspection.installation
    tree = in_tree_order(board_records(inspection))
    places = places_of(record for record, _ in tree)
    loads = list(
        ParallelLoad.objects.for_installation(installation)
        .select_related("circuit__board")
        .order_by("circuit__board__sort_key", "circuit__sort_key", "pk")
    )
    across = defaultdict(list)
    for load in loads:
        across[load.circuit_id].append(load)
    boards = BoardsContent(
        places,
        dict(installation.boards.values_list("pk", "designation")),
        across,
        {one.circuit.pk: one for one in explanations_of(inspection)},
        insulation_tester_of(inspection),
    )
    answers = answers_of(inspection)
    outcome = outcome_of(inspection)
    content = {
        "schema": SCHEMA,
        "issue": None,
        "firm": _firm(installation.firm),
        "client": {"name": installation.client.name, "address": installation.client.address},
        "installation": _installation(installation),
        "inspection": _inspection(inspection),
        "boards": [boards.board(record, depth) for record, depth in tree],
        "findings": [
            said.finding(item, places, as_content(answers.get(finding_key(item))))
            for item in findings_of(inspection)
        ],
        "limitations": said.limitations(inspection, places),
        "observations": said.observations(inspection, places, photos),
        "visual": said.visual_areas(inspection),
        "load_register": load_register(loads, places, photos, installation.nominal_voltage_v),
        "instruments": [
            _instrument(instrument, inspection.last_day) for instrument in inspection.instruments.all()
        ],
        "outcome": {
            "satisfactory": outcome.satisfactory,
            "reason": outcome.reason,
            "source": source(outcome.source),
        },
        "next_due": _next_due(inspection),
        "cautions": list(GENERAL),
    }
    if installation.firm.is_sample:
        content["sample"] = True
    if issue:
        content["issue"] = _issue(issue, content)
    return Gathered(content, photos.kept)


def _issue(issue: Issue, content: dict[str, Any]) -> dict[str, Any]:
    changes = changes_between(issue.former, content) if issue.former else []
    signed = {"signature": issue.signature.as_content()} if issue.signature else {}
    return {
        "number": issue.number,
        "revision": issue.revision,
        "issued_at": moment(issue.at),
        "issued_on": day(issue.day),
        "issued_by": person(issue.by),
        "previous_sha256": issue.previous_sha256,
        "replaces_sha256": issue.replaces_sha256,
        "what_changed": issue.what_changed,
        "changes": [change.as_content() for change in changes],
        **signed,
    }


def _firm(firm: Firm) -> dict[str, str]:
    return {name: getattr(firm, name) for name in ("name", "address", "phone", "email")}


def _installation(installation: Installation) -> dict[str, Any]:
    return {
        "name": installation.name,
        "address": installation.address,
        "postcode": installation.postcode,
        "use": choice(installation, "use"),
        "built": installation.built,
        "alterations": installation.alterations,
        "earthing": choice(installation, "earthing"),
        "phases": choice(installation, "phases"),
        "nominal_voltage_v": installation.nominal_voltage_v,
        "frequency_hz": installation.frequency_hz,
        "interval_months": installation.interval_months,
    }


def _inspection(inspection: Inspection) -> dict[str, Any]:
    edition = editions.load(inspection.edition)
    before = inspection.based_on
    sent = inspection.reviews.order_by("sent_at", "pk").last()
    is_signed = sent and sent.signature and sent.sent_by_id == inspection.inspector_id
    return {
        "kind": choice(inspection, "kind"),
        "started_on": day(inspection.started_on),
        "finished_on": day(inspection.finished_on),
        "last_inspected_on": day(before.started_on) if before else None,
        "reason": inspection.reason,
        "extent": inspection.extent,
        "general_condition": inspection.general_condition,
        "inspector": person(inspection.inspector),
        "edition": {"key": edition.key, "title": edition.title},
        "ze_ohm": text(inspection.ze),
        "ipf_ka": text(inspection.ipf_ka),
        "supply_polarity": text(inspection.supply_polarity),
        "calibration_explanation": inspection.calibration_explanation,
        **({"signature": sent.signature} if is_signed else {}),
    }


def _instrument(instrument: Instrument, on: date) -> dict[str, Any]:
    return {
        "group": instrument.group,
        "measures": choice(instrument, "measures"),
        "serial": instrument.serial,
        "description": instrument.description,
        "calibrated_until": day(instrument.calibrated_until),
        "in_calibration": instrument.is_calibrated_on(on),
    }


def _next_due(inspection: Inspection) -> dict[str, Any]:
    """The date with the inspector's own words, beside the longest interval published for the use."""
    longest = intervals.longest(inspection.installation.use)
    return {
        "on": day(inspection.next_due_on),
        "reason": inspection.next_due_reason,
        "published": longest
        and {
            "words": longest.words,
            "months": longest.months,
            "at_latest": day(longest.ends(inspection.last_day)),
            "source": source(longest.source),
        },
    }
