"""Our own workbook brought back in gives the same record: nothing changes here, the same rows elsewhere."""

import pytest

from fixtures.larkfield.load import load_scenario
from inspections.enums import InspectionKind
from inspections.models import Circuit, CircuitResult, Inspection, Upload
from inspections.services.intake_commit import commit_intake
from inspections.services.intake_plan import plan_intake, read_upload
from inspections.services.visits import start_inspection
from remedies.models import ParallelLoad
from reports.content import content_of
from reports.demonstration import PLACE, VISIT_ON, WORKBOOK
from reports.schedules import schedules
from reports.write import write
from tests.factories import PASSWORD, InspectionFactory

pytestmark = pytest.mark.django_db


def bring_in(inspection, name, content):
    upload = Upload.objects.create(
        inspection=inspection, name=name, content=content, sent_by=inspection.inspector
    )
    plan = plan_intake(read_upload(upload), inspection, {})
    commit_intake(upload=upload, digest=plan.digest, member=inspection.inspector)
    return plan


@pytest.fixture
def visit():
    firm = load_scenario(password=PASSWORD)
    mill = firm.clients.get(installations__name=PLACE).installations.get(name=PLACE)
    inspector = firm.members.get(role="inspector")
    visit = start_inspection(
        installation=mill,
        kind=InspectionKind.PERIODIC,
        started_on=VISIT_ON,
        inspector=inspector,
        member=inspector,
    )
    bring_in(visit, WORKBOOK.name, WORKBOOK.read_bytes())
    return Inspection.objects.get(pk=visit.pk)


def circuits_of(inspection):
    rows = Circuit.objects.filter(board__installation=inspection.installation, retired_on=None)
    names = [
        "board__designation", "way", "phase", "description", "points", "live_csa_mm2", "cpc_csa_mm2",
        "disconnection_time_s", "device_standard", "device_type", "device_rating_a", "breaking_capacity_ka",
        "max_zs_ohm", "rcd_standard", "rcd_type", "rcd_residual_ma", "rcd_rating_a", "wiring_type",
        "reference_method", "is_spare",
    ]  # fmt: skip
    return set(rows.values_list(*names))


def readings_of(inspection):
    return {
        (str(result.circuit), *(str(getattr(result, name)) for name in NAMES))
        for result in CircuitResult.objects.filter(inspection=inspection).select_related("circuit__board")
    }


NAMES = [
    "r1", "rn", "r2", "r1_r2", "r2_only", "ir_voltage_v", "ir_live_live", "ir_live_earth", "polarity", "zs",
    "rcd_trip_ms", "rcd_button", "afdd_button", "instrument_group", "remarks",
]  # fmt: skip


def loads_of(inspection):
    return {
        (
            str(load.circuit),
            load.describe(),
            load.connection,
            load.place,
            load.state,
            load.since,
            load.is_hidden,
        )
        for load in ParallelLoad.objects.for_installation(inspection.installation).select_related(
            "circuit__board"
        )
    }


def limitations_of(inspection):
    return {
        (one.kind, *one.tests, one.reason, one.agreed_with, one.agreed_on, one.is_standing)
        for one in inspection.limitations.all()
    }


def test_workbook_of_a_record_changes_nothing_in_it(visit):
    upload = Upload.objects.create(
        inspection=visit,
        name="own.xlsx",
        content=write(schedules(content_of(visit)), "xlsx"),
        sent_by=visit.inspector,
    )
    plan = plan_intake(read_upload(upload), visit, {})
    assert [str(problem) for problem in plan.problems] == []
    assert plan.is_empty, (plan.changed_circuits, plan.limitations, plan.board_readings)
    assert plan.unchanged_count == len(circuits_of(visit))


def test_workbook_gives_the_same_record_in_an_empty_firm(visit):
    elsewhere = InspectionFactory(
        started_on=visit.started_on,
        installation__earthing=visit.installation.earthing,
        installation__phases=visit.installation.phases,
    )
    plan = bring_in(elsewhere, "own.xlsx", write(schedules(content_of(visit)), "xlsx"))
    elsewhere.refresh_from_db()
    assert [str(problem) for problem in plan.problems] == []
    assert circuits_of(elsewhere) == circuits_of(visit)
    assert readings_of(elsewhere) == readings_of(visit)
    assert loads_of(elsewhere) == loads_of(visit)
    assert limitations_of(elsewhere) == limitations_of(visit)
    assert {(r.board.designation, r.zdb.text, r.ipf_ka.text) for r in elsewhere.board_results.all()} == {
        (r.board.designation, r.zdb.text, r.ipf_ka.text) for r in visit.board_results.all()
    }
