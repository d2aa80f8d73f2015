"""Whatever writes to the record, the search knows of it: every table, every way, past every service."""

import pytest
from django.db import connection

from inspections.models import Board, Circuit, Client, Installation
from inspections.services.record import save_record
from remedies.models import ParallelLoad
from reports.search.find import search
from reports.search.tables import Kind, SearchMark, SearchRow
from reports.search.work_out import bring_up_to_date
from tests.factories import InstallationFactory
from tests.reports.ready import issued, ready_visit
from tests.reports.search.conftest import furnish

pytestmark = pytest.mark.django_db

# By kind: the column that holds its words, and how its row is reached from the load of ``furnish``.
COLUMN = {
    Kind.CLIENT: (Client, "name", lambda load: load.circuit.board.installation.client),
    Kind.INSTALLATION: (Installation, "name", lambda load: load.circuit.board.installation),
    Kind.BOARD: (Board, "location", lambda load: load.circuit.board),
    Kind.CIRCUIT: (Circuit, "description", lambda load: load.circuit),
    Kind.LOAD: (ParallelLoad, "place", lambda load: load),
}


def by_service(row, column, member):
    setattr(row, column, "Zinnia pantry")
    save_record(row, member=member)


def by_saving(row, column, member):
    setattr(row, column, "Zinnia pantry")
    row.save()


def by_update(row, column, member):
    type(row).objects.filter(pk=row.pk).update(**{column: "Zinnia pantry"})


def by_bulk_update(row, column, member):
    setattr(row, column, "Zinnia pantry")
    type(row).objects.bulk_update([row], [column])


def by_hand_written_sql(row, column, member):
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE {row._meta.db_table} SET {column} = 'Zinnia pantry' WHERE id = %s", [row.pk])


@pytest.mark.parametrize("write", [by_service, by_saving, by_update, by_bulk_update, by_hand_written_sql])
@pytest.mark.parametrize("kind", COLUMN)
def test_a_changed_word_is_found_and_the_one_before_no_more(load, member, kind, write):
    model, column, reach = COLUMN[kind]
    row = reach(load)
    before = getattr(row, column)
    bring_up_to_date(member.firm)
    assert row.pk in keys(member, before, kind)

    write(model.objects.get(pk=row.pk), column, member)

    bring_up_to_date(member.firm)
    assert keys(member, "zinnia pantry", kind) == {row.pk}
    assert row.pk not in keys(member, before, kind)


def keys(member, typed, kind):
    return {row.pk for one in search(member.firm, typed) for row in one.rows if one.kind == kind}


def test_a_renamed_client_is_found_with_its_places_and_all_that_lies_there(load, member):
    bring_up_to_date(member.firm)
    Client.objects.filter(firm=member.firm).update(name="Zinnia pantry")
    bring_up_to_date(member.firm)

    assert {one.kind for one in search(member.firm, "zinnia")} == {
        Kind.CLIENT, Kind.INSTALLATION, Kind.BOARD,
    }  # fmt: skip
    assert keys(member, "zinnia lights", Kind.CIRCUIT) == {load.circuit_id}
    assert keys(member, "zinnia rose", Kind.LOAD) == {load.pk}


def test_rows_made_in_bulk_are_found(load, member):
    bring_up_to_date(member.firm)
    Circuit.objects.bulk_create(
        [Circuit(board=load.circuit.board, way="9", description="Zinnia", sort_key="9")]
    )
    bring_up_to_date(member.firm)
    assert keys(member, "zinnia", Kind.CIRCUIT) == {Circuit.objects.get(way="9").pk}


def test_rows_deleted_are_found_no_more(load, member):
    circuit, board = load.circuit, load.circuit.board
    installation = board.installation
    bring_up_to_date(member.firm)
    assert SearchRow.objects.count() == 5

    ParallelLoad.objects.all()._raw_delete("default")
    Circuit.objects.filter(pk=circuit.pk)._raw_delete("default")
    Board.objects.filter(pk=board.pk)._raw_delete("default")
    Installation.objects.filter(pk=installation.pk)._raw_delete("default")
    Client.objects.filter(pk=installation.client_id)._raw_delete("default")
    bring_up_to_date(member.firm)

    assert not SearchRow.objects.exists()
    assert not SearchMark.objects.exists()


def test_an_issued_record_is_marked_by_its_issue(member):
    visit = ready_visit(InstallationFactory(client__firm=member.firm))
    bring_up_to_date(member.firm)
    record = issued(visit)
    bring_up_to_date(member.firm)
    assert keys(member, f"report {record.number}", Kind.RECORD) == {record.pk}


def test_marks_of_one_firm_are_not_taken_by_another(load, strangers_load, member):
    bring_up_to_date(member.firm)
    stranger = strangers_load.circuit.board.installation.client.firm
    assert set(SearchMark.objects.values_list("firm_id", flat=True)) == {stranger.pk}
    furnish(member.firm, client="Another client", place="Another place")
    assert SearchMark.objects.filter(firm_id=member.firm.pk).exists()
