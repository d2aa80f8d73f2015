"""A chain broken on purpose, past the triggers, is found at its first bad record."""

from contextlib import contextmanager
from io import StringIO
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.management import CommandError, call_command
from django.db import connection

from inspections import integrity
from inspections.enums import Code
from reports import kept_pdf
from reports.content import canonical_json, sha256_of
from reports.models import IssuedRecord, RecordPhoto
from reports.services.pdf import add_pdf
from reports.verify import lost_pdfs, verify_chain
from tests.factories import InstallationFactory, ObservationFactory
from tests.reports.ready import issued, ready_visit

pytestmark = pytest.mark.django_db


@contextmanager
def without_triggers():
    """As someone with the whole database in hand would do it."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            integrity.lift("default")
            yield
            integrity.install("default")
        else:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("SET LOCAL session_replication_role = replica")
            yield
            cursor.execute("SET LOCAL session_replication_role = DEFAULT")


@pytest.fixture
def chain():
    """Three records of one firm: the second has a photograph and a PDF."""
    first = issued()
    client = first.inspection.installation.client
    inspection = ready_visit(InstallationFactory(client=client))
    ObservationFactory(inspection=inspection, code=Code.C3, photo=ContentFile(b"as taken", name="board.jpg"))
    second = add_pdf(record=issued(inspection), pdf=b"%PDF-1.7 drawn")
    return [first, second, issued(ready_visit(InstallationFactory(client=client)))]


def change(record, **fields):
    with without_triggers():
        assert IssuedRecord.objects.filter(pk=record.pk).update(**fields) == 1


def test_chain_that_was_left_alone_holds(chain):
    out = StringIO()
    call_command("verify_records", stdout=out)
    assert verify_chain(chain[0].firm) is None
    assert out.getvalue() == f"{chain[0].firm}: 3 records, all hold.\n"


def test_one_byte_of_content_changed_is_found(chain):
    record = chain[1]
    changed = record.json.replace(b"Sound", b"Found")
    assert changed != record.json

    change(record, content=changed)

    failure = verify_chain(record.firm)
    assert (failure.record, failure.reason) == (record, "its content is not what was hashed")
    with pytest.raises(CommandError, match=r"No\. 2 does not hold: its content is not what was hashed"):
        call_command("verify_records", stdout=StringIO())


def test_content_and_hash_changed_together_break_the_next_link(chain):
    record = chain[1]
    content = record.read() | {"cautions": []}
    changed = canonical_json(content)

    change(record, content=changed, sha256=sha256_of(changed))

    failure = verify_chain(record.firm)
    assert failure.record == chain[2]
    assert failure.reason.startswith("it is not chained to the record before it")


def test_number_changed_is_found(chain):
    change(chain[1], number=7)
    assert verify_chain(chain[0].firm).reason == "its number, revision or link is not what its content says"


@pytest.mark.parametrize(
    ("lose", "said"),
    [(lambda file: file.write_bytes(b"%PDF-1.7 drawm"), "is not what was kept"), (Path.unlink, "is missing")],
)
def test_pdf_altered_or_missing_is_found_and_hides_no_break_of_the_chain(lose, said, kept_files, chain):
    name = kept_pdf.name_of(chain[1].pdf_sha256)
    lose(kept_files / name)

    assert [failure.record for failure in lost_pdfs(chain[0].firm)] == [chain[1]]
    with pytest.raises(CommandError, match=rf"No\. 2 does not hold: its PDF, the file {name}, {said}"):
        call_command("verify_records", stdout=StringIO())
    change(chain[2], number=7)
    with pytest.raises(CommandError) as told:
        call_command("verify_records", stdout=StringIO())
    assert len(str(told.value).splitlines()) == 2


@pytest.mark.parametrize("how", ["changed", "deleted"])
def test_photograph_changed_or_deleted_is_found(chain, how):
    with without_triggers():
        rows = RecordPhoto.objects.filter(record=chain[1])
        _ = rows.update(content=b"as edited") if how == "changed" else rows.delete()
    failure = verify_chain(chain[0].firm)
    assert failure.record == chain[1]
    assert "photograph" in failure.reason


@pytest.mark.parametrize(
    ("gone", "names", "reason"),
    [(0, 1, "is not chained"), (1, 2, "is not chained"), (2, None, "issued last is missing, after No. 2")],
)
def test_record_deleted_is_found_wherever_it_stood(chain, gone, names, reason):
    with without_triggers():
        RecordPhoto.objects.filter(record=chain[gone]).delete()
        IssuedRecord.objects.filter(pk=chain[gone].pk).delete()
    failure = verify_chain(chain[0].firm)
    assert failure.record == (chain[names] if names is not None else None)
    assert reason in failure.reason


def test_one_broken_chain_does_not_hide_another(chain):
    other = issued()
    change(chain[0], content=b"{}")
    change(other, content=b"{}")
    with pytest.raises(CommandError) as told:
        call_command("verify_records", stdout=StringIO())
    assert len(str(told.value).splitlines()) == 2
