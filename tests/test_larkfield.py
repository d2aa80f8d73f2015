"""The Larkfield scenario: it enters the record whole, its figures agree, and the checks find in the visit's
workbook the faults that were put there and no others."""

import json
from datetime import date
from decimal import Decimal
from io import BytesIO

import pytest
from openpyxl import load_workbook

from fixtures.larkfield import make_visit_workbook
from fixtures.larkfield.load import SCENARIO, load_scenario, table
from inspections.enums import InspectionKind, Role
from inspections.intake.read import read_file
from inspections.intake.result import LIMITATIONS, LOADS, SCHEDULE
from inspections.models import CircuitResult, Installation, Upload
from inspections.rules.finding import Severity
from inspections.selectors import board_records
from inspections.services.acts import acting
from inspections.services.intake_commit import commit_intake
from inspections.services.intake_plan import plan_intake, read_upload
from inspections.services.undo import take_back
from inspections.services.uploads import keep_upload
from inspections.services.visits import start_inspection
from remedies.bridge import expected_reading_for
from remedies.enums import LoadKind, LoadState
from remedies.models import ParallelLoad
from tests.factories import PASSWORD
from tests.whole_record import whole_record

WORKBOOK = SCENARIO.with_name("larkfield-mill-visit.xlsx")
VISIT = date(2026, 11, 17)
SCENARIO_DATA = json.loads(SCENARIO.read_text(encoding="utf-8"))
INSTALLATIONS = [row for client in SCENARIO_DATA["clients"] for row in client["installations"]]

# What the makers of the workbook put wrong, and where.
FAULTS = {
    ("DB1/6 L2", "INSULATION_LOW"),  # a neon found at the visit
    ("DB1/6 L3", "LIM_WITHOUT_LIMITATION"),
    ("DB1/7 L3", "ZS_OVER_LIMIT"),
    ("DB2/2", "RING_LINE_NEUTRAL_DIFFER"),
    ("DB2/5", "INSULATION_LOW"),  # capacitors and a resistor on the register
    ("DB2/10", "INSULATION_LOW"),  # an indicator on the register
    ("DB2/13", "INSULATION_LOW"),  # nothing on the register
    ("DB3/5", "INSULATION_LOW"),  # a load module found at the visit
    ("DB3/10", "RCD_SLOW"),
    ("DB3/11", "MISSING_READING"),
}
EXPLAINED = ("DB1/6 L2", "DB2/5", "DB2/10", "DB2/14", "DB3/5")


@pytest.fixture
def firm(db):
    return load_scenario(password=PASSWORD)


@pytest.fixture
def begun(firm):
    """The mill's visit, before anything of it is entered."""
    inspector = firm.members.get(role=Role.INSPECTOR)
    visit = start_inspection(
        installation=Installation.objects.get(name="Larkfield Mill"),
        kind=InspectionKind.PERIODIC,
        started_on=VISIT,
        inspector=inspector,
        member=inspector,
    )
    visit.instruments.set(firm.instruments.filter(group__in="AB"))
    return visit


@pytest.fixture
def sent(begun):
    """The workbook as the inspector sent it."""
    upload = Upload(
        inspection=begun, name=WORKBOOK.name, content=WORKBOOK.read_bytes(), sent_by=begun.inspector
    )
    return keep_upload(upload=upload, member=begun.inspector)


def bring_in(upload):
    plan = plan_intake(read_upload(upload), upload.inspection, {})
    assert plan.problems == []
    commit_intake(upload=upload, digest=plan.digest, member=upload.sent_by)


@pytest.fixture
def visit(sent):
    """The mill's visit, with the workbook in the record."""
    bring_in(sent)
    return sent.inspection


def test_the_workbook_goes_out_of_the_record_again(sent):
    """What it brought in is gone, and what it changed stands as it stood."""
    before = whole_record()
    with acting() as act:
        bring_in(sent)
    after = whole_record()
    touched = {row for row in {*before, *after} if before.get(row) != after.get(row)}
    assert {model for model, _ in touched} == {
        "Board", "BoardResult", "Circuit", "CircuitResult", "Inspection", "Limitation", "ParallelLoad",
        "Upload",
    }  # fmt: skip
    take_back(act=act, member=sent.sent_by)
    assert whole_record() == before


def test_the_scenario_enters_the_record_whole(firm):
    places = Installation.objects.for_firm(firm)
    assert places.count() == len(INSTALLATIONS) == 6
    assert {member.role for member in firm.members.all()} == set(Role.values)
    for place, written in zip(places.order_by("pk"), INSTALLATIONS, strict=True):
        assert place.boards.count() == len(written["boards"])
        assert place.inspections.count() == len(written["inspections"])
        assert ParallelLoad.objects.for_installation(place).count() == len(written["parallel_loads"])
        for visit, told in zip(place.inspections.order_by("pk"), written["inspections"], strict=True):
            assert visit.results.count() == len(told["results"]["rows"])
            assert visit.limitations.count() == len(told["limitations"])
    loads = ParallelLoad.objects.all()
    assert {load.kind for load in loads} == set(LoadKind)
    assert {load.state for load in loads} == set(LoadState)


def resistance(circuit, conductor):
    """Ω of a conductor from end to end by IEC 60228:2004, classes 1 and 2, plain copper, 20 °C."""
    ohm_per_km = {1: 18.1, 1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15, 25: 0.727, 35: 0.524}
    return ohm_per_km[float(circuit[conductor])] * float(circuit["length_m"]) / 1000


def measured(row, name):
    """The figure of a reading, None where there is none."""
    text = row.get(name, "")
    return float(text) if text.replace(".", "").isdecimal() else None


@pytest.mark.parametrize("place", INSTALLATIONS, ids=lambda place: place["name"])
def test_readings_of_earlier_visits_follow_from_the_cables(place):
    circuits = {
        f"{board['designation']}/{row['way']} {row.get('phase', '')}".strip(): row
        for board in place["boards"]
        for row in table(board["circuits"])
    }
    compared = 0
    for visit in place["inspections"]:
        zdb = {row["board"]: float(row["zdb"]) for row in table(visit["board_results"])}
        for row in table(visit["results"]):
            circuit, r1_r2 = circuits[row["circuit"]], measured(row, "r1_r2")
            if r1_r2 is None:
                continue
            cable = resistance(circuit, "live_csa_mm2") + resistance(circuit, "cpc_csa_mm2")
            if circuit["arrangement"] == "ring":
                # R1+R2 of a ring is a quarter of r1 + r2, IET Guidance Note 3.
                cable /= 4
                assert r1_r2 == pytest.approx((measured(row, "r1") + measured(row, "r2")) / 4, abs=0.03)
            assert r1_r2 == pytest.approx(cable, rel=0.05, abs=0.01)  # copper, not contacts, within 5 %
            if (zs := measured(row, "zs")) is not None:
                board = row["circuit"].partition("/")[0]
                assert zs == pytest.approx(zdb[board] + r1_r2, rel=0.05, abs=0.02)
            compared += 1
    assert compared or not place["inspections"]


def test_the_workbook_is_what_its_script_makes():
    made = BytesIO()
    make_visit_workbook.make().save(made)
    committed, made = load_workbook(WORKBOOK), load_workbook(made)
    assert committed.sheetnames == made.sheetnames
    for sheet in made:
        kept = committed[sheet.title]
        assert list(kept.values) == list(sheet.values)
        assert kept.merged_cells.ranges == sheet.merged_cells.ranges


def test_the_workbook_is_read_whole_without_a_hand():
    file = read_file(WORKBOOK.name, WORKBOOK.read_bytes())
    assert file.problems == ()
    assert [heading.found for heading in file.headings if heading.name is None] == []
    assert [board.designation for board in file.boards] == ["MSB", "DB1", "DB2", "DB3"]
    assert len(file.of(SCHEDULE)) == 58
    assert sum("r1_r2" in row.cells for row in file.of(SCHEDULE)) >= 50
    assert len(file.of(LIMITATIONS)) == len(make_visit_workbook.LIMITATIONS)
    assert len(file.of(LOADS)) == len(make_visit_workbook.LOADS)


def test_the_checks_find_the_faults_that_were_put_there_and_no_others(visit):
    serious = (Severity.OUT_OF_LIMIT, Severity.DISAGREES, Severity.INCOMPLETE)
    found = {
        (str(circuit), finding.code.name)
        for record in board_records(visit)
        for circuit in record.circuits
        for finding in record.findings()[circuit.pk]
        if finding.severity in serious
    }
    assert found == FAULTS


def test_registered_loads_explain_the_low_readings_but_one(visit):
    results = {str(result.circuit): result for result in CircuitResult.objects.filter(inspection=visit).all()}
    for name in EXPLAINED:
        result = results[name]
        instrument = visit.instruments.get(group=result.instrument_group)
        expected = expected_reading_for(
            result.circuit.parallel_loads.present(), result.ir_voltage_v, instrument
        )
        half_a_digit = Decimal("0.005")
        assert expected.low_mohm - half_a_digit <= result.ir_live_live.value, name
        assert expected.high_mohm is None or result.ir_live_live.value <= expected.high_mohm + half_a_digit, (
            name
        )
    unexplained = results["DB2/13"]
    assert unexplained.ir_live_live.value < 1
    assert not unexplained.circuit.parallel_loads.exists()


def test_standing_limitations_came_over_once(visit):
    reasons = [limitation.reason for limitation in visit.limitations.all()]
    assert len(reasons) == len(set(reasons))
    assert visit.limitations.filter(carried_from__isnull=False).count() == 4
