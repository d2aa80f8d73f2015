"""PDFs from outside that are not what they should be. Each is refused with what is wrong and what to do."""

import hashlib
import json
import zlib
from io import BytesIO

import pikepdf
import pytest

from reports.content import canonical_json
from reports.intake import extract
from reports.intake.read import MOST_BYTES, PROBLEMS, RecordIntakeError, read_record
from reports.report.draw import draw_report
from tests.reports.intake.files import attached, plain_page
from tests.reports.report.contents import photos, record


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return draw_report(record(), photos())


def changed(pdf: bytes, change, **how) -> bytes:
    out = BytesIO()
    with pikepdf.open(BytesIO(pdf)) as book:
        change(book)
        book.save(out, **how)
    return out.getvalue()


def said_of(pdf: bytes) -> str:
    with pytest.raises(RecordIntakeError) as caught:
        read_record(pdf)
    return str(caught.value)


def test_record_and_photographs_come_out_to_the_byte(pdf):
    read = read_record(pdf)
    assert read.record == canonical_json(record())
    assert read.content == record()
    assert read.sha256 == hashlib.sha256(read.record).hexdigest()
    assert read.photos == photos()


def test_file_larger_than_ten_megabytes():
    assert said_of(b"%PDF-1.7" + bytes(MOST_BYTES)) == PROBLEMS["too-large"]


@pytest.mark.parametrize(
    "content", [b"", b"PK\x03\x04 a workbook", b"<html>%PDF</html>", bytes(2000) + b"%PDF-1.7"]
)
def test_file_that_is_no_pdf(content):
    assert said_of(content) == PROBLEMS["not-pdf"]


def test_record_stands_before_the_structure_and_comes_out_whole_where_that_is_cut(pdf):
    assert read_record(pdf[:-300]).record == canonical_json(record())


@pytest.mark.parametrize("length", [9, 200, 5_000, 50_000])
def test_file_cut_short(pdf, length):
    assert said_of(pdf[:length]) in (PROBLEMS["damaged"], PROBLEMS["no-record"])


def test_noise_after_the_beginning_of_a_pdf():
    noise = hashlib.shake_256(b"noise").digest(50_000)
    assert said_of(b"%PDF-1.7\n" + noise) == PROBLEMS["damaged"]


@pytest.mark.parametrize("user", ["", "secret"])
def test_file_protected_by_a_password(pdf, user):
    protected = changed(pdf, lambda book: None, encryption=pikepdf.Encryption(owner="owner", user=user))
    assert said_of(protected) == PROBLEMS["encrypted"]


def test_pdf_without_a_record():
    assert said_of(plain_page()) == PROBLEMS["no-record"]


def test_record_dropped_on_the_way(pdf):
    def drop(book):
        del book.attachments["record.json"]

    assert said_of(changed(pdf, drop)) == PROBLEMS["no-record"]


def replaced(pdf: bytes, new: bytes) -> bytes:
    """The PDF with another record under the description of the first."""

    def replace(book):
        book.attachments["record.json"].obj.EF.F.write(new)

    return changed(pdf, replace)


@pytest.mark.parametrize(
    "record",
    [
        b"", b"no json", b"\xff\xfe", b"[]", b"null", b'"text"', b'{"a":NaN}', b'{"a":1.5}', b'{"a":1e400}',
        b"[" * 200_000, b'{"a":' * 50_000, b'{"a":"\\ud800"}', b'{"a":"\\u0000"}',
        b'{"a":' + b"9" * 10_000 + b"}",
    ],
)  # fmt: skip
def test_record_that_is_no_record(record):
    assert said_of(attached(record)) == PROBLEMS["unreadable"]


def test_record_of_a_later_schema_names_both():
    said = said_of(attached(canonical_json(record() | {"schema": "stillacross-record/9"})))
    assert "stillacross-record/9" in said
    assert "stillacross-record/1" in said
    assert "bring this one up to date" in said


@pytest.mark.parametrize(
    ("spoil", "where"),
    [
        (lambda c: c.pop("boards"), "the whole"),
        (lambda c: c.update(extra=1), "the whole"),
        (
            lambda c: c["boards"][0]["circuits"][2]["result"].update(zs="0,35"),
            "boards → 0 → circuits → 2 → result → zs",
        ),
        (lambda c: c["inspection"].update(started_on="yesterday"), "inspection → started_on"),
        (lambda c: c["installation"].update(nominal_voltage_v="230"), "installation → nominal_voltage_v"),
    ],
)
def test_record_that_breaks_the_schema_says_where(spoil, where):
    content = record()
    spoil(content)
    assert f"(At {where}: " in said_of(attached(canonical_json(content)))


def test_draft_is_not_brought_in():
    assert said_of(draw_report(record(issued=False))) == PROBLEMS["draft"]


def test_record_altered_after_the_issue(pdf):
    content = record()
    content["boards"][0]["circuits"][0]["result"]["zs"] = "0.10"
    assert said_of(replaced(pdf, canonical_json(content))) == PROBLEMS["altered"]


def test_record_written_in_another_form_is_not_the_one_issued():
    assert said_of(attached(json.dumps(record()).encode())) == PROBLEMS["altered"]


def test_more_circuits_than_any_place_has(monkeypatch, pdf):
    monkeypatch.setattr("reports.intake.read.MOST_CIRCUITS", 11)
    assert said_of(pdf) == PROBLEMS["too-many-circuits"]


def test_record_larger_than_any_is():
    large = b'{"a":"' + b"x" * extract.MOST_RECORD_BYTES + b'"}'
    assert said_of(attached(large)) == PROBLEMS["record-too-large"]


def test_record_that_unpacks_to_gigabytes_is_stopped(pdf):
    """A stream of zeros packs a thousandfold, and packs again."""
    bomb = zlib.compress(zlib.compress(bytes(550_000_000), 9), 9)
    assert len(bomb) < MOST_BYTES

    def plant(book):
        stream = book.attachments["record.json"].obj.EF.F
        stream.write(bomb, filter=pikepdf.Array([pikepdf.Name.FlateDecode, pikepdf.Name.FlateDecode]))

    as_it_is = {"compress_streams": False, "stream_decode_level": pikepdf.StreamDecodeLevel.none}
    assert said_of(changed(pdf, plant, **as_it_is)) in (PROBLEMS["damaged"], PROBLEMS["record-too-large"])


def test_more_objects_than_any_report_has():
    book = pikepdf.new()
    book.add_blank_page()
    book.Root.Many = pikepdf.Array(
        [book.make_indirect(pikepdf.Dictionary(N=n)) for n in range(extract.MOST_OBJECTS + 1)]
    )
    out = BytesIO()
    book.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    assert said_of(out.getvalue()) == PROBLEMS["too-many-parts"]


def test_more_pages_than_any_report_has():
    book = pikepdf.new()
    for _ in range(extract.MOST_PAGES + 1):
        book.add_blank_page()
    out = BytesIO()
    book.save(out)
    assert said_of(out.getvalue()) == PROBLEMS["too-many-parts"]


def test_attachments_in_a_loop_end(pdf):
    def loop(book):
        names = book.Root.Names.EmbeddedFiles
        node = book.make_indirect(pikepdf.Dictionary(Kids=pikepdf.Array([])))
        node.Kids.append(node)
        book.Root.Names.EmbeddedFiles = node
        assert names is not None

    assert said_of(changed(pdf, loop)) in (PROBLEMS["damaged"], PROBLEMS["no-record"])


def test_pages_in_a_loop_end(pdf):
    body = (
        b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n"
        b"2 0 obj<</Type/Pages/Kids[2 0 R]/Count 1>>endobj\n"
        b"trailer<</Root 1 0 R/Size 3>>\n"
    )
    assert said_of(body) in (PROBLEMS["damaged"], PROBLEMS["no-record"])
