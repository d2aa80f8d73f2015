"""Recording readings: a bad cell never loses a good one, and no one overwrites unseen."""

import pytest

from inspections.columns import RESULTS
from inspections.enums import InspectionStatus
from inspections.models import CircuitResult
from inspections.services.results import InspectionClosed, TypedRow, record_results
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    MemberFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def inspection():
    return InspectionFactory()


@pytest.fixture
def board(inspection):
    return BoardFactory(installation=inspection.installation)


@pytest.fixture
def circuit(board):
    return CircuitFactory(board=board)


@pytest.fixture
def alex(inspection):
    return inspection.inspector


@pytest.fixture
def robin(inspection):
    return MemberFactory(firm=inspection.installation.firm)


def record(inspection, member, circuit, version=0, **texts):
    (outcome,) = record_results(
        inspection=inspection, rows=[TypedRow(circuit.pk, version, texts)], member=member
    )
    return outcome


def standing(circuit):
    return CircuitResult.objects.get(circuit=circuit)


def texts_of(row, *names):
    return [str(getattr(row, name)) for name in names]


# What is typed


def test_a_first_row_is_saved(inspection, circuit, alex):
    outcome = record(
        inspection, alex, circuit, zs="0.50", ir_live_live="> 200", polarity="y", ir_voltage_v="500 V"
    )
    assert outcome.saved
    assert not outcome.needs_attention
    row = standing(circuit)
    assert texts_of(row, "zs", "ir_live_live", "polarity", "ir_voltage_v") == ["0.50", ">200", "✓", "500"]
    assert row.version == outcome.result.version == 1


def test_every_column_of_the_schedule_can_be_recorded(inspection, circuit, alex):
    typed = {column.name: "LIM" for column in RESULTS}
    typed |= {"ir_voltage_v": "250", "instrument_group": "A", "remarks": "Behind the boiler"}
    assert record(inspection, alex, circuit, **typed).problems == {}
    assert {name: str(getattr(standing(circuit), name)) for name in typed} == typed


def test_a_bad_cell_never_loses_a_good_one(inspection, circuit, alex):
    outcome = record(inspection, alex, circuit, zs="0,50", r1_r2="0.31", polarity="0.2")
    assert outcome.saved
    assert outcome.needs_attention
    assert outcome.refused == {"zs": "0,50", "polarity": "0.2"}
    assert "Type a point: 0.50" in outcome.problems["zs"]
    assert texts_of(standing(circuit), "zs", "r1_r2", "polarity") == ["", "0.31", ""]


def test_a_bad_cell_leaves_what_stood(inspection, circuit, alex):
    record(inspection, alex, circuit, zs="0.50")
    outcome = record(inspection, alex, circuit, version=1, zs="o.55")
    assert not outcome.saved
    assert str(standing(circuit).zs) == "0.50"


@pytest.mark.parametrize("typed", ["400", "five hundred", "-500", "500.5", "²"])
def test_only_a_test_voltage_is_a_test_voltage(inspection, circuit, alex, typed):
    outcome = record(inspection, alex, circuit, ir_voltage_v=typed)
    assert "Type 250, 500 or 1000" in outcome.problems["ir_voltage_v"]
    assert not CircuitResult.objects.exists()


def test_words_too_long_for_their_column_are_refused(inspection, circuit, alex):
    outcome = record(inspection, alex, circuit, instrument_group="A" * 7, zs="0.50")
    assert set(outcome.problems) == {"instrument_group"}
    assert str(standing(circuit).zs) == "0.50"


def test_a_column_left_out_is_left_alone(inspection, circuit, alex):
    record(inspection, alex, circuit, zs="0.50", r1_r2="0.31")
    record(inspection, alex, circuit, version=1, zs="0.52")
    assert texts_of(standing(circuit), "zs", "r1_r2") == ["0.52", "0.31"]


def test_an_emptied_cell_is_empty(inspection, circuit, alex):
    record(inspection, alex, circuit, zs="0.50", ir_voltage_v="500", remarks="Loose cover")
    record(inspection, alex, circuit, version=1, zs="", ir_voltage_v=" ", remarks="")
    assert texts_of(standing(circuit), "zs", "ir_voltage_v", "remarks") == ["", "None", ""]


def test_a_name_that_is_no_column_changes_nothing(inspection, circuit, alex):
    record(inspection, alex, circuit, zs="0.50")
    outcome = record(inspection, alex, circuit, version=1, id="7", max_zs_ohm="0.4")
    assert not outcome.saved


# What is not saved


def test_an_unchanged_row_is_not_saved(inspection, circuit, alex, robin):
    record(inspection, alex, circuit, zs="0.50", ir_voltage_v="500", remarks="Loose cover")
    outcome = record(
        inspection, robin, circuit, version=1, zs=" 0.50", ir_voltage_v="500 v", remarks="Loose cover "
    )
    assert not outcome.saved
    assert not outcome.needs_attention
    assert standing(circuit).version == 1
    assert standing(circuit).history.count() == 1


def test_an_empty_row_makes_no_result(inspection, circuit, alex):
    assert not record(inspection, alex, circuit, zs="", remarks=" ").saved
    assert not CircuitResult.objects.exists()


def test_a_trailing_zero_is_a_change(inspection, circuit, alex):
    record(inspection, alex, circuit, zs="0.5")
    assert record(inspection, alex, circuit, version=1, zs="0.50").saved


def test_a_circuit_of_another_installation_is_left_out(inspection, circuit, alex):
    stranger = CircuitFactory()
    outcomes = record_results(
        inspection=inspection,
        rows=[TypedRow(stranger.pk, 0, {"zs": "0.50"}), TypedRow(circuit.pk, 0, {"zs": "0.52"})],
        member=alex,
    )
    assert [outcome.result.circuit for outcome in outcomes] == [circuit]
    assert not stranger.results.exists()


@pytest.mark.parametrize("status", [InspectionStatus.IN_REVIEW, InspectionStatus.ISSUED])
def test_a_closed_inspection_takes_no_more_readings(inspection, circuit, alex, status):
    # The page was opened while it was still a draft.
    type(inspection).objects.filter(pk=inspection.pk).update(status=status)
    with pytest.raises(InspectionClosed, match=r"is in review|is issued"):
        record(inspection, alex, circuit, zs="0.50")
    assert not CircuitResult.objects.exists()


# Who, when, what before


def test_the_history_says_who_and_what_before(inspection, circuit, alex, robin):
    record(inspection, alex, circuit, zs="0.50")
    record(inspection, robin, circuit, version=1, zs="0.52")
    changed, made = standing(circuit).history.all()
    assert (made.history_type, str(made.zs), made.history_user, made.version) == ("+", "0.50", alex, 1)
    assert (changed.history_type, str(changed.zs), changed.history_user, changed.version) == (
        "~",
        "0.52",
        robin,
        2,
    )


def test_the_history_keeps_the_reason(inspection, circuit, alex):
    record_results(
        inspection=inspection,
        rows=[TypedRow(circuit.pk, 0, {"zs": "0.50"})],
        member=alex,
        reason="From visit.xlsx",
    )
    assert standing(circuit).history.get().history_change_reason == "From visit.xlsx"


def test_the_visit_before_keeps_its_readings(inspection, circuit, alex):
    earlier = CircuitResultFactory(circuit=circuit, zs="0.48")
    record(inspection, alex, circuit, zs="0.50")
    earlier.refresh_from_db()
    assert str(earlier.zs) == "0.48"


# Two people on one row


@pytest.fixture
def seen_by_both(inspection, circuit, alex):
    record(inspection, alex, circuit, zs="0.50", r1_r2="0.31")


@pytest.mark.usefixtures("seen_by_both")
def test_the_second_sees_both_values_and_nothing_is_overwritten(inspection, circuit, alex, robin):
    record(inspection, robin, circuit, version=1, zs="0.52")
    outcome = record(inspection, alex, circuit, version=1, zs="0.55", r1_r2="0.31")
    assert outcome.clashes == {"zs": ("0.52", "0.55")}
    assert outcome.needs_attention
    assert not outcome.saved
    assert str(standing(circuit).zs) == "0.52"
    assert outcome.result.version == standing(circuit).version == 2


@pytest.mark.usefixtures("seen_by_both")
def test_the_rest_of_a_clashing_row_is_saved(inspection, circuit, alex, robin):
    record(inspection, robin, circuit, version=1, zs="0.52")
    outcome = record(inspection, alex, circuit, version=1, zs="0.55", r1_r2="0.32", polarity="✓")
    assert outcome.saved
    assert list(outcome.clashes) == ["zs"]
    assert texts_of(standing(circuit), "zs", "r1_r2", "polarity") == ["0.52", "0.32", "✓"]
    assert outcome.result.version == standing(circuit).version == 3


@pytest.mark.usefixtures("seen_by_both")
def test_typed_again_once_seen_it_overwrites(inspection, circuit, alex, robin):
    record(inspection, robin, circuit, version=1, zs="0.52")
    seen = record(inspection, alex, circuit, version=1, zs="0.55").result.version
    outcome = record(inspection, alex, circuit, version=seen, zs="0.55")
    assert outcome.saved
    assert str(standing(circuit).zs) == "0.55"
    assert [str(row.zs) for row in standing(circuit).history.all()] == ["0.55", "0.52", "0.50"]


@pytest.mark.usefixtures("seen_by_both")
def test_what_one_left_alone_does_not_undo_what_the_other_changed(inspection, circuit, alex, robin):
    record(inspection, robin, circuit, version=1, zs="0.52")
    outcome = record(inspection, alex, circuit, version=1, zs="0.50", r1_r2="0.33")
    assert not outcome.clashes
    assert texts_of(standing(circuit), "zs", "r1_r2") == ["0.52", "0.33"]


@pytest.mark.usefixtures("seen_by_both")
def test_two_who_type_the_same_do_not_clash(inspection, circuit, alex, robin):
    record(inspection, robin, circuit, version=1, zs="0.52")
    outcome = record(inspection, alex, circuit, version=1, zs="0.52")
    assert not outcome.needs_attention
    assert not outcome.saved


@pytest.mark.usefixtures("seen_by_both")
def test_an_emptied_cell_clashes_too(inspection, circuit, alex, robin):
    record(inspection, robin, circuit, version=1, zs="")
    assert record(inspection, alex, circuit, version=1, zs="0.55").clashes == {"zs": ("", "0.55")}


@pytest.mark.usefixtures("seen_by_both")
def test_versions_far_behind_are_compared_with_what_was_seen_then(inspection, circuit, alex, robin):
    for version, zs in enumerate(["0.51", "0.52", "0.53"], start=1):
        record(inspection, robin, circuit, version=version, zs=zs)
    outcome = record(inspection, alex, circuit, version=2, zs="0.51", r1_r2="0.33")
    assert not outcome.clashes
    assert texts_of(standing(circuit), "zs", "r1_r2") == ["0.53", "0.33"]


def test_two_who_begin_the_same_empty_row_clash(inspection, circuit, alex, robin):
    record(inspection, robin, circuit, zs="0.52")
    outcome = record(inspection, alex, circuit, zs="0.55", r1_r2="0.31")
    assert outcome.clashes == {"zs": ("0.52", "0.55")}
    assert texts_of(standing(circuit), "zs", "r1_r2") == ["0.52", "0.31"]


@pytest.mark.usefixtures("seen_by_both")
def test_a_version_no_one_ever_saw_overwrites_nothing(inspection, circuit, alex):
    outcome = record(inspection, alex, circuit, version=99, zs="0.55")
    assert outcome.clashes == {"zs": ("0.50", "0.55")}


# Queries: the same number for one row and for a whole board

MOST_QUERIES = 8


def counted(queries, inspection, member, circuits, version, **texts):
    rows = [TypedRow(circuit.pk, version, texts) for circuit in circuits]
    with queries() as counter:
        outcomes = record_results(inspection=inspection, rows=rows, member=member)
    assert len(outcomes) == len(circuits)
    return len(counter)


@pytest.mark.parametrize("rows", [1, 40])
def test_queries_do_not_grow_with_rows(inspection, board, alex, robin, rows, django_assert_max_num_queries):
    circuits = CircuitFactory.create_batch(rows, board=board)

    def at_most():
        return django_assert_max_num_queries(MOST_QUERIES)

    new = counted(at_most, inspection, alex, circuits, 0, zs="0.50")
    changed = counted(at_most, inspection, robin, circuits, 1, zs="0.52", r1_r2="0.31")
    clashing = counted(at_most, inspection, alex, circuits, 1, zs="0.55", polarity="y")
    unchanged = counted(at_most, inspection, alex, circuits, 3, zs="0.52")
    assert unchanged < min(new, changed, clashing)


def test_each_cell_is_held_to_the_version_it_was_typed_at(inspection, circuit):
    """As typed without a connection: one cell before another person's save, one after having seen it."""
    member = inspection.inspector
    record_results(
        inspection=inspection, rows=[TypedRow(circuit.pk, 0, {"zs": "0.60", "r1_r2": "0.30"})], member=member
    )

    (outcome,) = record_results(
        inspection=inspection,
        rows=[TypedRow(circuit.pk, 1, {"zs": "0.71", "r1_r2": "0.31"}, seen={"zs": 0})],
        member=member,
    )

    assert outcome.clashes == {"zs": ("0.60", "0.71")}
    result = CircuitResult.objects.get(circuit=circuit)
    assert (result.zs.text, result.r1_r2.text, result.version) == ("0.60", "0.31", 2)


def test_a_cell_sent_twice_is_written_once(inspection, circuit):
    row = TypedRow(circuit.pk, 0, {"zs": "0.71"})
    for _ in range(2):
        record_results(inspection=inspection, rows=[row], member=inspection.inspector)

    assert [row.version for row in CircuitResult.history.filter(circuit=circuit)] == [1]
