"""A spreadsheet against the record: what is new, what changes, and all of it or nothing."""

from io import BytesIO

import openpyxl
import pytest

from inspections.enums import Arrangement, InspectionStatus, LimitationKind, LimitationScope, Serves
from inspections.intake.read import read_file
from inspections.models import Board, Circuit, CircuitResult, Limitation, Upload
from inspections.services.intake_commit import RecordMoved, commit_intake
from inspections.services.intake_plan import plan_intake
from inspections.services.results import InspectionClosed
from tests.factories import BoardFactory, CircuitFactory, CircuitResultFactory, InspectionFactory

pytestmark = pytest.mark.django_db

HEADINGS = [
    "No.",
    "Description",
    "Live (mm²)",
    "BS EN",
    "Type",
    "Rating (A)",
    "R1+R2 (Ω)",
    "Live-live (MΩ)",
    "Zs (Ω)",
]
LIGHTS = ["1", "Hall lights", "1.5", "60898", "B", 6, 1.12, "LIM", "1.40"]
RING = ["2", "Ring sockets", "2.5", "60898", "B", 32, 0.42, ">200", "0.71"]


def workbook(*rows, board="DB1 Hall", notes=()):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Sheet"
    sheet.append([f"Board: {board}   Ze 0.21 ohm"])
    sheet.append(HEADINGS)
    for row in rows:
        sheet.append(row)
    sheet.append([])
    for note in notes:
        sheet.append([note])
    stream = BytesIO()
    book.save(stream)
    return stream.getvalue()


@pytest.fixture
def inspection():
    return InspectionFactory()


@pytest.fixture
def upload_of(inspection):
    def make(content, **choices):
        return Upload.objects.create(
            inspection=inspection,
            name="visit.xlsx",
            content=content,
            choices=choices,
            sent_by=inspection.inspector,
        )

    return make


def plan_of(upload):
    return plan_intake(read_file(upload.name, upload.content), upload.inspection, upload.choices)


def commit(upload):
    return commit_intake(upload=upload, digest=plan_of(upload).digest, member=upload.sent_by)


def test_new_board_and_circuits_come_in_with_their_readings(upload_of, inspection):
    commit(upload_of(workbook(LIGHTS, RING)))
    board = Board.objects.get(installation=inspection.installation)
    assert (board.designation, board.location) == ("DB1", "Hall")
    ring = Circuit.objects.get(board=board, way="2")
    assert (ring.arrangement, ring.serves, ring.device_standard) == (
        Arrangement.RING,
        Serves.SOCKETS,
        "BS EN 60898",
    )
    result = CircuitResult.objects.get(inspection=inspection, circuit=ring)
    assert (result.r1_r2.text, result.ir_live_live.text, result.zs.text) == ("0.42", ">200", "0.71")
    inspection.refresh_from_db()
    assert inspection.ze.text == "0.21"


def test_history_names_the_file_and_who_brought_it_in(upload_of, inspection):
    commit(upload_of(workbook(LIGHTS)))
    for row in (Board.objects.get(), Circuit.objects.get(), CircuitResult.objects.get()):
        record = row.history.get()
        assert record.history_user == inspection.inspector
        assert record.history_change_reason == "From visit.xlsx"


def test_preview_names_what_changes_and_writes_nothing(upload_of, inspection):
    board = BoardFactory(installation=inspection.installation, designation="DB 1")
    lights = CircuitFactory(board=board, way="1", description="Lights")
    CircuitResultFactory(inspection=inspection, circuit=lights, zs="1.39")
    plan = plan_of(upload_of(workbook(LIGHTS, RING)))
    assert plan.new_boards == {}
    assert [circuit.label for circuit in plan.new_circuits] == ["DB 1/2"]
    (changed,) = plan.changed_circuits
    changes = {change.heading: (change.before, change.after) for change in changed.changes}
    assert changes["Description"] == ("Lights", "Hall lights")
    assert changes["Zs (Ω)"] == ("1.39", "1.40")
    assert CircuitResult.objects.get().zs.text == "1.39"


def test_what_the_file_does_not_name_is_left_alone(upload_of, inspection):
    board = BoardFactory(installation=inspection.installation, designation="DB1")
    lights = CircuitFactory(board=board, way="1", length_m=31)
    CircuitResultFactory(inspection=inspection, circuit=lights, remarks="Fed through the attic", polarity="✓")
    commit(upload_of(workbook(LIGHTS)))
    lights.refresh_from_db()
    result = CircuitResult.objects.get()
    assert (lights.length_m, result.remarks, result.polarity.text) == (31, "Fed through the attic", "✓")
    assert result.zs.text == "1.40"


def test_same_file_twice_has_nothing_more_to_say(upload_of, inspection):
    commit(upload_of(workbook(LIGHTS, RING)))
    inspection.refresh_from_db()
    plan = plan_of(upload_of(workbook(LIGHTS, RING)))
    assert plan.is_empty
    assert plan.unchanged_count == 2


def test_bad_cell_is_told_by_place_and_the_rest_comes_in(upload_of):
    upload = upload_of(workbook([*LIGHTS[:8], "1,40"], RING))
    (problem,) = plan_of(upload).problems
    assert problem.where == "Sheet!I3"
    assert "1.40" in problem.text
    commit(upload)
    assert CircuitResult.objects.get(circuit__way="1").r1_r2.text == "1.12"
    assert CircuitResult.objects.get(circuit__way="1").zs.is_blank


@pytest.mark.parametrize("stands_already", [True, False])
def test_a_three_phase_circuit_and_another_one_in_a_way_are_told_by_row(
    upload_of, inspection, stands_already
):
    """In the file or in the record: the second is told by its place and stays out, the rest comes in."""
    rows = [["3 L1", *LIGHTS[1:]], ["3 L123", *RING[1:]], RING]
    if stands_already:
        board = BoardFactory(installation=inspection.installation, designation="DB1", phases="3")
        CircuitFactory(board=board, way="3", phase="L1")
        del rows[0]

    plan = commit(upload_of(workbook(*rows)))

    (problem,) = plan.problems
    assert problem.row == (3 if stands_already else 4)
    assert "Way 3 cannot hold a three-phase circuit and another one at once" in problem.text
    assert set(Circuit.objects.values_list("way", "phase")) == {("3", "L1"), ("2", "")}


@pytest.mark.parametrize(
    ("description", "serves"),
    [
        ("Supply to DB2", Serves.DISTRIBUTION),
        ("Supply to DB3.1, cellar", Serves.DISTRIBUTION),
        ("Supply to DB20", Serves.FIXED),  # no board of that name
        ("Fan beside DB1", Serves.FIXED),  # the circuit's own board
    ],
)
def test_a_circuit_that_names_another_board_feeds_it(upload_of, inspection, description, serves):
    for designation in ("DB2", "DB3", "DB3.1"):
        BoardFactory(installation=inspection.installation, designation=designation)

    commit(upload_of(workbook(["1", description, *LIGHTS[2:]])))

    assert Circuit.objects.get().serves == serves


def test_row_without_a_circuit_number_stays_out_and_the_rest_comes_in(upload_of):
    upload = upload_of(workbook(LIGHTS, [None, *RING[1:]]))
    assert [problem.text for problem in plan_of(upload).problems] == [
        "The row has no circuit number. Type the way, and the phase where it has one, such as 4 or 4 L1."
    ]

    commit(upload)

    assert [circuit.way for circuit in Circuit.objects.all()] == ["1"]


def test_record_that_moved_since_the_preview_is_not_written_over(upload_of, inspection):
    board = BoardFactory(installation=inspection.installation, designation="DB1")
    lights = CircuitFactory(board=board, way="1", description="Lights")
    upload = upload_of(workbook(LIGHTS))
    digest = plan_of(upload).digest
    lights.description = "Hall and stair lights"
    lights.save()
    with pytest.raises(RecordMoved):
        commit_intake(upload=upload, digest=digest, member=upload.sent_by)
    assert not CircuitResult.objects.exists()


def test_closed_inspection_takes_nothing_at_all(upload_of, inspection):
    upload = upload_of(workbook(LIGHTS))
    digest = plan_of(upload).digest
    inspection.status = InspectionStatus.IN_REVIEW
    inspection.save()
    with pytest.raises(InspectionClosed):
        commit_intake(upload=upload, digest=digest, member=upload.sent_by)
    assert not Board.objects.exists()
    assert not Circuit.objects.exists()


def test_note_of_the_file_becomes_the_limitation_of_its_lim_readings(upload_of):
    content = workbook(LIGHTS, RING, notes=["Luminaires in the hall not taken down."])
    file = read_file("visit.xlsx", content)
    (index,) = [index for index, note in enumerate(file.notes) if note.limitation]
    commit(upload_of(content, limitation_notes=[index]))
    limitation = Limitation.objects.get()
    assert (limitation.kind, limitation.scope) == (LimitationKind.OPERATIONAL, LimitationScope.CIRCUITS)
    assert limitation.tests == ["ir_live_live"]
    assert [str(circuit) for circuit in limitation.circuits.all()] == ["DB1/1"]


def test_rows_that_name_no_board_ask_for_one(upload_of, inspection):
    content = "No.,Description,Zs (Ω)\n1,Hall lights,1.40\n".encode()
    upload = upload_of(content)
    upload.name = "visit.csv"
    assert plan_of(upload).needs_board
    upload.choices = {"board": "CU"}
    upload.save()
    plan = plan_of(upload)
    assert not plan.needs_board
    assert list(plan.new_boards) == ["CU"]


def test_max_zs_that_is_our_own_figure_is_not_taken_for_somebodys_limit(upload_of):
    headings = [*HEADINGS, "Max Zs (Ω)"]
    book = openpyxl.load_workbook(BytesIO(workbook([*LIGHTS, "7.28"], [*RING, "1.20"])))
    for column, heading in enumerate(headings, 1):
        book.active.cell(2, column, heading)
    stream = BytesIO()
    book.save(stream)
    commit(upload_of(stream.getvalue()))
    # 230 × 0.95 ÷ (5 × 6) = 7.28 Ω by BS 7671 411.4.4; 1.20 Ω is below 1.37 Ω, so somebody set it.
    assert Circuit.objects.get(way="1").max_zs_ohm is None
    assert str(Circuit.objects.get(way="2").max_zs_ohm) == "1.20"
