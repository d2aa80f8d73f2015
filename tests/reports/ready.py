"""A visit with nothing left to do: it may be issued as it is."""

from datetime import date

from inspections.enums import InspectionStatus, Outcome, Role
from inspections.models import Inspection, Member, VisualOutcome
from inspections.rules import visual
from reports.services.issue import issue_inspection
from reports.services.review import send_for_review
from tests.factories import (
    VISIT,
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    InstallationFactory,
    InstrumentFactory,
    MemberFactory,
)

# Lights on a 6 A type B breaker: Zs = Ze 0.20 + R1+R2 0.60, far below 7.28 Ω (BS 7671 Table 41.3).
LIGHTS = {
    "live_csa_mm2": "1.5",
    "cpc_csa_mm2": "1.0",
    "device_standard": "BS EN 60898",
    "device_type": "B",
    "device_rating_a": "6",
    "breaking_capacity_ka": "6",
}
SOUND = {
    "r1_r2": "0.60",
    "ir_voltage_v": 500,
    "ir_live_live": ">200",
    "ir_live_earth": ">200",
    "polarity": "✓",
    "zs": "0.80",
}


def ready_visit(installation=None, **fields) -> Inspection:
    """A periodic inspection of one board with one circuit, all of it done; ``fields`` are of the visit."""
    installation = installation or InstallationFactory()
    board = BoardFactory(installation=installation, designation="DB1")
    circuit = CircuitFactory(board=board, way="1", **LIGHTS)
    inspection = ready_inspection(installation, **fields)
    CircuitResultFactory(inspection=inspection, circuit=circuit, **SOUND)
    return inspection


def ready_inspection(installation, **fields) -> Inspection:
    """The visit itself: extent, condition, instrument, visual inspection and next due date."""
    said = {
        "extent": "All of it",
        "general_condition": "Sound",
        "ze": "0.20",
        "inspector__role": Role.INSPECTOR,
        "next_due_on": date(2030, 11, 3),
    }
    instrument = InstrumentFactory(firm=installation.firm, calibrated_until=date(2027, 1, 1))
    inspection = InspectionFactory(
        installation=installation, started_on=VISIT, instruments=[instrument], **said | fields
    )
    VisualOutcome.objects.bulk_create(
        VisualOutcome(inspection=inspection, item=item.key, outcome=Outcome.PASS)
        for area in visual.areas()
        for item in area.items
    )
    inspection.refresh_from_db()
    return inspection


def supervisor_of(inspection) -> Member:
    """A supervisor of the inspection's firm: one and the same."""
    firm = inspection.installation.firm
    return firm.members.filter(role=Role.SUPERVISOR).first() or MemberFactory(firm=firm, role=Role.SUPERVISOR)


def in_review(inspection=None, **fields) -> Inspection:
    """A visit sent for review."""
    inspection = inspection or ready_visit(**fields)
    send_for_review(inspection=inspection, member=inspection.inspector)
    inspection.refresh_from_db()
    assert inspection.status == InspectionStatus.IN_REVIEW
    return inspection


def issued(inspection=None, **fields):
    """The record of a visit sent for review and issued."""
    inspection = in_review(inspection, **fields)
    return issue_inspection(inspection=inspection, member=supervisor_of(inspection))
