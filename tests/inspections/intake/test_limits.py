"""Files that must not be read, each with a plain message, in bounded time and memory."""

import io
import re
import time
import tracemalloc
import zipfile

import pytest

from inspections.intake import read as reading
from inspections.intake.grid import MAX_ROWS
from inspections.intake.read import read_file
from inspections.intake.result import IntakeError
from tests.inspections.intake import samples

GOOD = samples.larkfield_schedule()
SHEET = "xl/worksheets/sheet1.xml"
MANY_SECONDS = 200  # far more than any of these needs on a busy machine; an unbounded reader takes hours


def repacked(changes: dict[str, bytes] | None = None, compression: int = zipfile.ZIP_DEFLATED) -> bytes:
    """The good workbook with some parts replaced or added."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(GOOD)) as good, zipfile.ZipFile(buffer, "w", compression) as package:
        parts = {name: good.read(name) for name in good.namelist()} | (changes or {})
        for name, content in parts.items():
            package.writestr(name, content)
    return buffer.getvalue()


def part(name: str) -> bytes:
    with zipfile.ZipFile(io.BytesIO(GOOD)) as good:
        return good.read(name)


def sheet_of(rows: str, before: str = "") -> bytes:
    head = '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    return f"{head}{before}<sheetData>{rows}</sheetData></worksheet>".encode()


def package_of(names: dict[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as package:
        for name, content in names.items():
            package.writestr(name, content)
    return buffer.getvalue()


ENTITIES = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
REFUSED = {
    "nothing at all": (b"", "is empty"),
    "blanks alone": (b" \r\n\t", "is empty"),
    "an old workbook": (bytes.fromhex("D0CF11E0A1B11AE1") + bytes(600), "old .xls format"),
    "an encrypted workbook": (
        bytes.fromhex("D0CF11E0A1B11AE1") + bytes(600) + "EncryptedPackage".encode("utf-16-le"),
        "protected by a password",
    ),
    "a picture": (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "not a workbook"),
    "a web page": (b"<html><table><tr><td>No.</td></tr></table></html>", "not a workbook"),
    "text under a workbook's name": (b"No.,Description,Zs\n1,Lights,0.8\n", "not a workbook"),
    "a package that is no workbook": (package_of({"word/document.xml": b"<x/>"}), "not an Excel workbook"),
    "an OpenDocument file": (
        package_of({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet"}),
        "OpenDocument",
    ),
    "a binary workbook": (package_of({"xl/workbook.bin": b"", "[Content_Types].xml": b""}), "xlsb"),
    "a workbook cut short": (GOOD[: len(GOOD) // 2], "damaged"),
    "a workbook with macros": (repacked({"xl/vbaProject.bin": b"x"}), "macros"),
    "a workbook that says it has macros": (
        repacked(
            {"[Content_Types].xml": part("[Content_Types].xml").replace(b"sheet.main", b"macroEnabled.main")}
        ),
        "macros",
    ),
    "entities in a sheet": (repacked({SHEET: ENTITIES + part(SHEET)}), "XML entities"),
    "entities in the workbook part": (
        repacked({"xl/workbook.xml": ENTITIES + part("xl/workbook.xml")}),
        "XML entities",
    ),
    "entities in the styles": (repacked({"xl/styles.xml": ENTITIES + part("xl/styles.xml")}), "XML entities"),
    "a package packed otherwise": (repacked(compression=zipfile.ZIP_LZMA), "packed in a way"),
    "a part that swells": (repacked({"xl/media/x.bin": bytes(30_000_000)}), "100 times"),
    "a part beyond all size": (repacked({"xl/media/x.bin": bytes(70_000_000)}), "unpacks to"),
    "a sheet of tags": (repacked({SHEET: sheet_of("", "<x/>" * 5_100_000)}), "100 times"),
    "a style part of tags": (repacked({"xl/styles.xml": b"<x>" + b"<y/>" * 600_000}), "far more than"),
    "a row no sheet has": (
        repacked({SHEET: sheet_of('<row r="999999999"><c r="A9"><v>1</v></c></row>')}),
        "no sheet",
    ),
    "a column no sheet has": (
        repacked({SHEET: sheet_of('<row r="1"><c r="ZZZZ1"><v>1</v></c></row>')}),
        "no sheet",
    ),
    "thousands of columns": (samples.workbook({"DB1": [["No.", "Zs"] * 1500]}), "256 columns"),
    "thousands of columns in a text file": (b"No.,Zs" * 3000, "256"),
    "an open quotation mark": (b'No.,Description,Zs\n1,"' + b"lights " * 40_000, "quotation mark"),
    "no headings": (samples.workbook({"A": [["Lights", "0.8"], ["Sockets", "0.7"]]}), "No row of headings"),
    "empty sheets": (samples.workbook({"A": []}), "No sheet of the file holds anything"),
}


@pytest.mark.parametrize("kind", REFUSED)
def test_what_is_not_read_says_why(kind):
    data, message = REFUSED[kind]
    name = "upload.csv" if "text file" in kind or "quotation" in kind else "upload.xlsx"
    began = time.monotonic()
    with pytest.raises(IntakeError, match=re.escape(message)) as refusal:
        read_file(name, data)
    assert time.monotonic() - began < MANY_SECONDS
    assert str(refusal.value)[-1] == "."


def test_a_file_over_ten_megabytes_is_refused_before_it_is_read(monkeypatch):
    monkeypatch.setattr(reading, "read_workbook", lambda data: pytest.fail("it was read"))
    with pytest.raises(IntakeError, match="10 MB is the most"):
        read_file("x.xlsx", GOOD + bytes(10 * 1024 * 1024))


def test_an_encrypted_package_is_refused():
    data = bytearray(GOOD)
    flags = data.index(b"PK\x01\x02") + 8
    data[flags] |= 1
    with pytest.raises(IntakeError, match="password"):
        read_file("x.xlsx", bytes(data))


@pytest.mark.parametrize("kind", ["workbook", "text"])
def test_rows_up_to_the_limit_are_read_and_one_more_is_refused(kind):
    def make(rows: int) -> bytes:
        if kind == "text":
            return b"No.,Zs\n" + b"".join(b"%d,0.8\n" % number for number in range(1, rows))
        cells = "".join(f"<row><c><v>{number}</v></c><c><v>0.8</v></c></row>" for number in range(1, rows))
        head = "".join(f'<c t="inlineStr"><is><t>{text}</t></is></c>' for text in ("No.", "Zs"))
        return repacked(
            {SHEET: sheet_of(f"<row>{head}</row>{cells}"), "xl/worksheets/sheet2.xml": sheet_of("")}
        )

    name = "x.csv" if kind == "text" else "x.xlsx"
    began = time.monotonic()
    assert len(read_file(name, make(MAX_ROWS)).rows) == MAX_ROWS - 1
    with pytest.raises(IntakeError, match="20,000 filled rows"):
        read_file(name, make(MAX_ROWS + 1))
    assert time.monotonic() - began < MANY_SECONDS


def test_an_absurd_dimension_costs_nothing():
    stated = part(SHEET).replace(b'<dimension ref="A1:N13"', b'<dimension ref="A1:XFD1048576"')
    assert stated != part(SHEET)
    data = repacked({SHEET: stated})
    began = time.monotonic()
    tracemalloc.start()
    try:
        file = read_file("x.xlsx", data)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert len(file.rows) == 10
    assert peak < 50_000_000
    assert time.monotonic() - began < MANY_SECONDS


def test_blank_cells_and_rows_far_away_are_passed_over():
    far = b'<row r="1048576"><c r="XFD1048576" s="0"/></row></sheetData>'
    file = read_file("x.xlsx", repacked({SHEET: part(SHEET).replace(b"</sheetData>", far)}))
    assert len(file.rows) == 10


@pytest.mark.parametrize("filling", [" ", "Board ", "no ", "1", "L1", "(", "x/", "Zs "])
def test_long_repeating_texts_end_in_time(filling):
    text = ("a" + filling * 2000)[:1900] + "b"
    rows = [
        [text, text, text],
        ["No.", "Description", "Zs"],
        *([[str(n), text, text] for n in range(1, 200)]),
    ]
    rows += [[text], [text, text]] * 100
    began = time.monotonic()
    assert len(read_file("x.csv", samples.text_file(rows)).of("schedule")) >= 199
    assert time.monotonic() - began < MANY_SECONDS


def test_many_rows_that_look_like_headings_end_in_time():
    data = b"".join(b"Zs,Polarity,Type,Rating,Time,Points %d\n" % number for number in range(15_000))
    began = time.monotonic()
    with pytest.raises(IntakeError, match="No row of headings"):
        read_file("x.csv", data)
    assert time.monotonic() - began < MANY_SECONDS


def test_a_stored_result_of_a_formula_is_used_and_an_empty_one_is_blank():
    cells = [
        ('<c r="C2"><f>A1</f><v>0.35</v></c>', "0.35"),
        ('<c r="C2" t="str"><f>A1</f><v>&gt;200</v></c>', ">200"),
        ('<c r="C2" t="str"><f>A1</f><v></v></c>', None),
    ]
    for cell, text in cells:
        titles = zip("ABC", ("No.", "Description", "Zs"), strict=True)
        head = "".join(f'<c r="{at}1" t="inlineStr"><is><t>{word}</t></is></c>' for at, word in titles)
        sheet = sheet_of(f'<row r="1">{head}</row><row r="2"><c r="A2"><v>1</v></c>{cell}</row>')
        file = read_file("x.xlsx", repacked({SHEET: sheet, "xl/worksheets/sheet2.xml": sheet_of("")}))
        assert file.problems == ()
        assert (file.rows[0].cells["zs"].text if "zs" in file.rows[0].cells else None) == text


def test_links_to_other_workbooks_do_no_harm():
    link = b'<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"/>'
    assert len(read_file("x.xlsx", repacked({"xl/externalLinks/externalLink1.xml": link})).rows) == 10
