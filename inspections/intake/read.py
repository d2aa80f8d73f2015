"""Spreadsheet intake, first half: an uploaded file to boards and named rows, with every problem on the way.

Nothing of the record is touched here. A file that cannot be read at all raises IntakeError; anything less is
a problem at its cell, and the rest of its row is kept.
"""

import re

from inspections.columns import BY_NAME
from inspections.intake.across_rows import checked_across
from inspections.intake.delimited import read_delimited
from inspections.intake.grid import MAX_BYTES, Sheet
from inspections.intake.result import IGNORE, IntakeError, IntakeFile, IntakeNote, Mapping
from inspections.intake.sheet_reader import SheetReader
from inspections.intake.tables import TABLES
from inspections.intake.workbook import OLE, ZIP, check_old_format, read_workbook


def read_file(name: str, data: bytes, mapping: Mapping | None = None) -> IntakeFile:
    """Read an uploaded file. name: as the person's file is called. mapping: columns the person chose.

    Raises IntakeError when the file as a whole cannot be read; its message says why and what to do instead.
    """
    mapping = mapping or Mapping()
    _check_mapping(mapping)
    sheets, notes = _sheets(name, data)
    reader = SheetReader(mapping)
    for sheet in sheets:
        reader.read_sheet(sheet)
    if not reader.headings:
        raise IntakeError(_no_headings(sheets))
    return IntakeFile(
        name,
        tuple(reader.boards),
        tuple(checked_across(reader.rows)),
        tuple(reader.headings),
        (*notes, *reader.notes),
        tuple(reader.problems),
    )


def _sheets(name: str, data: bytes) -> tuple[list[Sheet], list[IntakeNote]]:
    """The sheets of the file, whatever it is; its content decides, not its name."""
    if not data.strip():
        raise IntakeError("The file is empty. Choose the .xlsx or .csv file with the schedule.")
    if len(data) > MAX_BYTES:
        raise IntakeError(
            f"The file has {len(data) / 1024 / 1024:.1f} MB; {MAX_BYTES // 1024 // 1024} MB is the most that "
            "is read. Take pictures out of it, or split it, one file for each building."
        )
    if data.startswith(OLE):
        check_old_format(data)
    if data.startswith(ZIP):
        sheets, hidden = read_workbook(data)
        return sheets, [
            IntakeNote("file", title, 0, "", f"The sheet “{title}” is hidden and was not read.")
            for title in hidden
        ]
    if name.lower().endswith((".xlsx", ".xlsm", ".xls")) or data.lstrip()[:5].lower() in (
        b"<html",
        b"<?xml",
        b"<tabl",
    ):
        raise IntakeError(
            "The file is not a workbook, whatever its name says. Open it in a spreadsheet program, save it "
            "as an Excel workbook (.xlsx), and choose that file."
        )
    sheet, encoding = read_delimited(name, data)
    if encoding != "cp1252":
        return [sheet], []
    text = "Read as Windows text (cp1252). If a character looks wrong, save the file as “CSV UTF-8”."
    return [sheet], [IntakeNote("file", sheet.name, 0, "", text)]


def _check_mapping(mapping: Mapping) -> None:
    known = {field.name for table in TABLES for field in table.fields} | {IGNORE}
    for (sheet, column), name in mapping.columns.items():
        if name not in known or not re.fullmatch(r"[A-Za-z]{1,3}", column):
            raise IntakeError(
                f"Column {column} of “{sheet}” cannot be read as “{name}”. Choose a column of the list."
            )


def _no_headings(sheets: list[Sheet]) -> str:
    if not any(sheet.rows for sheet in sheets):
        return "No sheet of the file holds anything. Choose the file with the schedule."
    wanted = ", ".join(
        BY_NAME[name].title for name in ("designation", "description", "r1_r2", "ir_live_live", "zs")
    )
    return (
        "No row of headings was found. One row must name the columns, such as: "
        f"{wanted}. The number or the description of the circuit must be among them. For limitations: "
        "Circuits, Tests, Kind, Reason, Agreed with, Agreed on. For parallel loads: Circuit, Kind, Count, "
        "Value, Connection, Place. Add the headings and choose the file again."
    )
