"""An .xlsx workbook to sheets, in bounded time and memory.

The package is weighed before anything in it is read, and each sheet is walked once by a defused parser before
openpyxl reads its values: that walk counts rows, columns and cells, notes the merged ranges, and finds the
formulas whose value was never stored, which openpyxl cannot tell from blank cells.
"""

import re
import warnings
import zipfile
from datetime import date, datetime, time, timedelta
from io import BytesIO
from itertools import islice
from typing import Any
from xml.sax.handler import ContentHandler

import openpyxl
from defusedxml.common import DefusedXmlException
from defusedxml.sax import parse as parse_xml
from openpyxl.utils import range_boundaries

from inspections.intake.grid import (
    MAX_COLUMNS,
    MAX_ROWS,
    MAX_SHEETS,
    MAX_TEXT,
    Found,
    Raw,
    Sheet,
    column_number,
    covered_cells,
    letter,
)
from inspections.intake.numbers import shown
from inspections.intake.result import IntakeError

OLE = bytes.fromhex("D0CF11E0A1B11AE1")
ZIP = (b"PK\x03\x04", b"PK\x05\x06", b"PK\x07\x08")

_MAX_UNPACKED = 64 * 1024 * 1024
_MAX_RATIO = 100  # a schedule packs to a twentieth or a fortieth
_SMALL = 4 * 1024 * 1024  # under this, whatever the ratio, nothing can go wrong
_MAX_PARTS = 2_000
_MAX_CELLS = 1_000_000
_MAX_SHEET_ROWS = 1_048_576  # of the file format
_MAX_SHEET_COLUMNS = 16_384
_MAX_TAGS, _MAX_TAGS_OF_OTHER_PARTS = 4_200_000, 300_000  # 20,000 rows of 33 texts, six tags each
_MAX_MERGED_RANGES = 20_000
_BULK = ("xl/worksheets/", "xl/sharedStrings.xml")
_RESAVE = (
    "Open it in a spreadsheet program, save it again as an Excel workbook (.xlsx), and choose that file."
)
_COPY = "Copy the schedule alone into a new workbook, save it as .xlsx, and choose that file."
_ENTITIES = (
    "The workbook defines XML entities, which no spreadsheet program writes and which can exhaust the "
    f"reader. It was not read. {_COPY}"
)


def check_old_format(data: bytes) -> None:
    """Refuse a workbook inside an OLE container, with what it is: encrypted, or of the old format."""
    if "EncryptedPackage".encode("utf-16-le") in data:
        raise IntakeError(
            "The workbook is protected by a password and cannot be read. Save it without a password to open "
            "(File, Info, Protect workbook) and choose that file."
        )
    raise IntakeError(f"This is a workbook of the old .xls format, which is not read. {_RESAVE}")


def read_workbook(data: bytes) -> tuple[list[Sheet], list[str]]:
    """The visible sheets, and the names of the hidden ones, which are not read. Raises IntakeError."""
    # A broken package makes the zip and XML readers fail in ways no list of exceptions covers.
    try:
        with zipfile.ZipFile(BytesIO(data)) as package:
            _weigh(package)
        # Themes, validations and dates that openpyxl warns about do not touch the values.
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            workbook = openpyxl.load_workbook(BytesIO(data), read_only=True, data_only=True, keep_links=False)
            try:
                return _read_sheets(workbook)
            finally:
                workbook.close()
    except IntakeError:
        raise
    except Exception as fault:
        if _is_defused(fault):
            raise IntakeError(_ENTITIES) from None
        raise IntakeError(f"The file is damaged, or is not an Excel workbook. {_RESAVE}") from None


def _is_defused(fault: BaseException | None) -> bool:
    """Whether the parser refused entities, also where openpyxl wraps that in an exception of its own."""
    return fault is not None and (isinstance(fault, DefusedXmlException) or _is_defused(fault.__cause__))


def _weigh(package: zipfile.ZipFile) -> None:
    parts = package.infolist()
    names = {part.filename for part in parts}
    _check_kind(package, names)
    if any(part.flag_bits & 0x1 for part in parts):
        raise IntakeError(
            "The workbook is protected by a password. Save it without one and choose that file."
        )
    if any(part.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) for part in parts):
        raise IntakeError(f"The workbook is packed in a way no spreadsheet program uses. {_RESAVE}")
    unpacked = sum(part.file_size for part in parts)
    packed = sum(part.compress_size for part in parts)
    if len(parts) > _MAX_PARTS or unpacked > _MAX_UNPACKED:
        raise IntakeError(
            f"The workbook unpacks to {unpacked // 1024 // 1024} MB in {len(parts)} parts; "
            f"{_MAX_UNPACKED // 1024 // 1024} MB in {_MAX_PARTS} parts is the most that is read. {_COPY}"
        )
    if unpacked > _SMALL and unpacked > _MAX_RATIO * max(packed, 1):
        raise IntakeError(
            f"The workbook unpacks to more than {_MAX_RATIO} times its size, as no schedule does. {_COPY}"
        )
    _check_tags(package, parts)


def _check_kind(package: zipfile.ZipFile, names: set[str]) -> None:
    macros = any(name.lower().endswith("vbaproject.bin") for name in names)
    if "mimetype" in names and b"opendocument" in package.read("mimetype")[:200]:
        raise IntakeError(f"This is an OpenDocument file, which is not read. {_RESAVE}")
    if "xl/workbook.bin" in names:
        raise IntakeError(f"This is a binary workbook (.xlsb), which is not read. {_RESAVE}")
    if "[Content_Types].xml" not in names or not any(name.startswith("xl/") for name in names):
        raise IntakeError("This is not an Excel workbook. Choose the .xlsx or .csv file with the schedule.")
    if macros or b"macroEnabled" in package.read("[Content_Types].xml")[:_SMALL]:
        raise IntakeError(
            "The workbook holds macros, and such files are not read. Save it as an Excel workbook without "
            "macros (.xlsx) and choose that file."
        )


def _check_tags(package: zipfile.ZipFile, parts: list[zipfile.ZipInfo]) -> None:
    """Tags decide the memory a reader needs, whatever their text; so count them first. Entities are defined
    in a document type, which no workbook has."""
    room = _MAX_TAGS
    for part in parts:
        if not part.filename.endswith((".xml", ".rels")):
            continue
        content = package.read(part)
        if b"<!DOCTYPE" in (content.replace(b"\0", b"") if b"\0" in content[:8] else content):
            raise IntakeError(_ENTITIES)  # whichever XML reader openpyxl finds: with lxml it does not refuse
        tags = content.count(b"<")
        room -= tags
        other = not part.filename.startswith(_BULK)
        if room < 0 or (other and tags > _MAX_TAGS_OF_OTHER_PARTS):
            raise IntakeError(
                f"The workbook holds far more than {MAX_ROWS:,} rows of a schedule ({part.filename}). {_COPY}"
            )


def _read_sheets(workbook: Any) -> tuple[list[Sheet], list[str]]:
    if len(workbook.worksheets) > MAX_SHEETS:
        raise IntakeError(
            f"The workbook has more than {MAX_SHEETS} sheets. Choose one with the schedules alone."
        )
    sheets: list[Sheet] = []
    hidden: list[str] = []
    rows = cells = 0
    for worksheet in workbook.worksheets:
        if worksheet.sheet_state != "visible":
            hidden.append(worksheet.title)
            continue
        walk = _Walk(worksheet.title, rows, cells)
        # openpyxl offers no public way from a read-only sheet to its part of the package.
        with worksheet._get_source() as part:
            parse_xml(part, walk)
        rows, cells = walk.filled_rows, walk.cells
        sheets.append(_read_sheet(worksheet, walk))
    return sheets, hidden


def _read_sheet(worksheet: Any, walk: "_Walk") -> Sheet:
    filled: dict[int, dict[int, Raw]] = {}
    if walk.last_row:
        # Bounds of our own: the dimension that the sheet states may be absurd. The slice stops before
        # openpyxl reads what follows the rows.
        rows = worksheet.iter_rows(min_row=1, max_row=walk.last_row, min_col=1, max_col=walk.last_column)
        for number, row in enumerate(islice(rows, walk.last_row), start=1):
            cells = {
                column: raw
                for column, cell in enumerate(row, start=1)
                if cell.value is not None and (raw := _raw(cell))
            }
            if cells:
                filled[number] = cells
    for row_number, column in walk.unstored:
        filled.setdefault(row_number, {})[column] = Raw("", Found.NO_VALUE)
    ordered = {number: filled[number] for number in sorted(filled)}
    return Sheet(worksheet.title, ordered, covered_cells(walk.merged(), walk.last_row, walk.last_column))


def _raw(cell: Any) -> Raw | None:
    value = cell.value
    if isinstance(value, bool):
        return Raw("TRUE" if value else "FALSE", Found.YES_NO)
    if isinstance(value, datetime):
        # a date without a time is a date
        return Raw(value.date().isoformat() if value.time() == time() else value.isoformat(" "), Found.DATE)
    if isinstance(value, (date, time, timedelta)):
        return Raw(str(value), Found.DATE)
    if isinstance(value, (int, float)):
        text, note = shown(value, cell.number_format or "General")
        return Raw(text, Found.NUMBER, note)
    text = re.sub(r"_x000[dD]_", "", str(value)).strip()[: MAX_TEXT + 1]
    if not text:
        return None
    return Raw(text, Found.ERROR if cell.data_type == "e" else Found.TEXT)


class _Walk(ContentHandler):
    """Walks one sheet's XML, counting. Stops the intake as soon as a count passes its limit."""

    def __init__(self, title: str, rows: int, cells: int) -> None:
        super().__init__()
        self.title = title
        self.filled_rows, self.cells = rows, cells
        self.last_row = self.last_column = 0
        self.unstored: list[tuple[int, int]] = []
        self._ranges: list[str] = []
        self._row = self._column = 0
        self._row_is_filled = self._has_formula = self._has_value = self._is_text = self._in_value = False

    def merged(self) -> list[tuple[int, int, int, int]]:
        return [range_boundaries(reference) for reference in self._ranges]

    def startElement(self, name: str, attrs: Any) -> None:
        tag = name.rpartition(":")[2]
        if tag == "row":
            self._row = int(attrs["r"]) if "r" in attrs else self._row + 1
            self._column = 0
            self._row_is_filled = False
        elif tag == "c":
            self._start_cell(attrs)
        elif tag in ("v", "t"):
            self._in_value = True
        elif tag == "f":
            self._has_formula = True
        elif tag == "mergeCell" and len(self._ranges) < _MAX_MERGED_RANGES:
            self._ranges.append(attrs["ref"])

    def _start_cell(self, attrs: Any) -> None:
        if "r" in attrs:
            letters = attrs["r"].rstrip("0123456789")
            self._column = column_number(letters)
        else:
            self._column += 1
        self.cells += 1
        self._has_formula = self._has_value = False
        self._is_text = attrs.get("t") == "str"
        if self.cells > _MAX_CELLS:
            raise IntakeError(f"The workbook has more than {_MAX_CELLS:,} cells, blank ones counted. {_COPY}")
        if not 1 <= self._row <= _MAX_SHEET_ROWS or not 1 <= self._column <= _MAX_SHEET_COLUMNS:
            raise IntakeError(
                f"Sheet “{self.title}” names a cell that no sheet has ({attrs['r']}). {_RESAVE}"
            )

    def characters(self, content: str) -> None:
        self._has_value = self._has_value or (self._in_value and not content.isspace())

    def endElement(self, name: str) -> None:
        tag = name.rpartition(":")[2]
        if tag in ("v", "t"):
            self._in_value = False
        elif tag == "c":
            # A formula whose result is an empty text is stored as an empty text; that is a value.
            unstored = self._has_formula and not self._has_value and not self._is_text
            if unstored:
                self.unstored.append((self._row, self._column))
            if unstored or self._has_value:
                self._fill()

    def _fill(self) -> None:
        if self._column > MAX_COLUMNS:
            raise IntakeError(
                f"{self.title}!{letter(self._column)}{self._row} is filled, and a schedule has at most "
                f"{MAX_COLUMNS} columns. {_COPY}"
            )
        if not self._row_is_filled:
            self._row_is_filled = True
            self.filled_rows += 1
            if self.filled_rows > MAX_ROWS:
                raise IntakeError(
                    f"The file has more than {MAX_ROWS:,} filled rows. Split it, one file for each building "
                    "or floor, and choose them one after the other."
                )
        self.last_row = max(self.last_row, self._row)
        self.last_column = max(self.last_column, self._column)
