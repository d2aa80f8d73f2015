"""A text file of separated values to one sheet: any of the usual encodings and separators."""

import csv
import re
from codecs import BOM_UTF8, BOM_UTF16_BE, BOM_UTF16_LE
from collections.abc import Iterator
from io import StringIO
from itertools import islice
from pathlib import PurePath

from inspections.intake.grid import MAX_COLUMNS, MAX_ROWS, MAX_TEXT, Raw, Sheet
from inspections.intake.heading_words import is_heading_word
from inspections.intake.result import IntakeError

SEPARATORS = (",", ";", "\t")
_LOOKED_AT = 200  # rows in which the headings are looked for, to tell the separator
_SEPARATOR_LINE = re.compile(r"sep=(.)\r?\n", re.IGNORECASE)
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f]")
_GUARDED = re.compile(r"'(?=[=+\-@])")  # an apostrophe kept a spreadsheet from taking the text for a formula


def read_delimited(name: str, data: bytes) -> tuple[Sheet, str]:
    """The sheet, named after the file, and the encoding it was read in. Raises IntakeError."""
    text, encoding = _decode(data)
    if match := _SEPARATOR_LINE.match(text):
        separator = match[1]
        # The line stays a (blank) row, so that row numbers are those a spreadsheet program shows.
        text = "\n" + text[match.end() :]
    else:
        separator = max(SEPARATORS, key=lambda candidate: _likeness(text, candidate))
    rows: dict[int, dict[int, Raw]] = {}
    try:
        for number, values in enumerate(_rows(text, separator), start=1):
            cells = {
                column: Raw(_GUARDED.sub("", value.strip(), count=1)[: MAX_TEXT + 1])
                for column, value in enumerate(values, start=1)
                if value and not value.isspace()
            }
            if cells:
                rows[number] = cells
                _check_size(cells, number, len(rows))
    except csv.Error as error:
        raise IntakeError(
            f"The file cannot be read as separated values ({error}). A quotation mark may be left open. "
            "Save it again from a spreadsheet program as .xlsx or .csv."
        ) from None
    return Sheet(PurePath(name).stem[:60] or "File", rows), encoding


def _decode(data: bytes) -> tuple[str, str]:
    for mark, encoding in ((BOM_UTF8, "utf-8-sig"), (BOM_UTF16_LE, "utf-16"), (BOM_UTF16_BE, "utf-16")):
        if data.startswith(mark):
            candidates: tuple[str, ...] = (encoding,)
            break
    else:
        candidates = ("utf-8", "cp1252")
    for encoding in candidates:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if not _CONTROL.search(text):
            return text, encoding
    raise IntakeError(
        "This is neither a workbook nor a text file. Choose the .xlsx or .csv file with the schedule."
    )


def _rows(text: str, separator: str) -> Iterator[list[str]]:
    return csv.reader(StringIO(text, newline=""), delimiter=separator)


def _likeness(text: str, separator: str) -> tuple[int, int]:
    """How much the file looks like a schedule with this separator: known headings in a row, then columns."""
    best = (0, 0)
    try:
        for values in islice(_rows(text, separator), _LOOKED_AT):
            best = max(best, (sum(is_heading_word(value) for value in values), len(values)))
    except csv.Error:
        pass  # what was seen before the fault decides; reading the file reports the fault
    return best


def _check_size(cells: dict[int, Raw], number: int, filled: int) -> None:
    if filled > MAX_ROWS:
        raise IntakeError(f"The file has more than {MAX_ROWS:,} filled rows. Split it and choose the parts.")
    if max(cells) > MAX_COLUMNS:
        raise IntakeError(
            f"Row {number} has {max(cells)} columns, and a schedule has at most {MAX_COLUMNS}. "
            "Save the schedule alone as a file and choose that."
        )
