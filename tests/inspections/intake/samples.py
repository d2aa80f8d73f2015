"""Workbooks and text files for the intake tests, all of Larkfield, which is invented.

Run as a module from the project's top folder, this writes those that are kept under ``fixtures/intake``:
``python -m tests.inspections.intake.samples``.
"""

import csv
import io
from pathlib import Path

import openpyxl

FIXTURES = Path(__file__).parents[3] / "fixtures" / "intake"
GROUPS = ["Circuit", None, None, "Conductors mm2", None, "Protective device", None, None, "RCD", "Continuity"]
GROUPS += ["Insulation resistance", None, "Polarity", "RCD"]
HEADINGS = [
    "No.",
    "Description",
    "Points",
    "Live",
    "CPC",
    "BS EN",
    "Type",
    "Rating (A)",
    "IΔn (mA)",
    "R1+R2 (Ω)",
]
HEADINGS += ["Live-Live (MΩ)", "Live-Earth (MΩ)", "✓/x", "Time (ms)"]
MERGED = ["A1:N1", "A2:N2", "D4:E4", "F4:H4", "K4:L4"]
WAREHOUSE = [
    ["1", "Water heater", 1, "4.0", "2.5", "60898", "B", 32, "-", 0.28, ">200", ">200", "OK", "N/A"],
    ["2", "Ring sockets office", 11, "2.5", "1.5", "61009", "B", 32, 30, 0.51, "0.24", ">200", "OK", "27"],
    ["3", "Lighting office", 8, "1.5", "1.0", "61009", "B", 6, 30, 1.08, "Lim.", "> 200", "OK", "25"],
    ["4", "Spare"],
    ["5", "Fire alarm", 3, "1.5", "1.0", "61009", "B", 6, 30, 0.93, "LIM", "160", "x", "23"],
]
PRESS_SHOP = [
    ["1 L1", "Press (3ph)", 1, "6.0", "4.0", "60898", "C", 32, "-", 0.39, ">200", "88.5", "OK", "N/A"],
    ["1 L2", "Press (3ph)", 1, "6.0", "4.0", "60898", "C", 32, "-", 0.39, ">200", "91.0", "OK", "N/A"],
    ["1 L3", "Press (3ph)", 1, "6.0", "4.0", "60898", "C", 32, "-", 0.39, ">200", "90.2", "OK", "N/A"],
    ["2 L1", "Bench sockets", 6, "2.5", "1.5", "61009", "C", 20, 30, 0.84, ">200", ">200", "OK", "29"],
    ["2 L2", "Yard lights", 4, "1.5", "1.0", "61009", "B", 10, 30, 2.1, "0.90", "1.6", "x", "37"],
]
REMARK = "Luminaires in the office not taken down (agreed with the tenant)."


def workbook(sheets: dict[str, list[list]], merged: dict[str, list[str]] | None = None) -> bytes:
    """A workbook of these rows, with these ranges merged."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
        for cells in (merged or {}).get(title, []):
            sheet.merge_cells(cells)
    return saved(book)


def saved(book: openpyxl.Workbook) -> bytes:
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def text_file(rows: list[list], separator: str = ",", encoding: str = "utf-8") -> bytes:
    buffer = io.StringIO()
    csv.writer(buffer, delimiter=separator).writerows(rows)
    return buffer.getvalue().encode(encoding)


def schedule_rows(board: str, circuits: list[list]) -> list[list]:
    """A sheet as another firm might keep it: title, board line, two rows of headings, total, remark."""
    return [
        ["Schedule of test results - Larkfield Mill"],
        [f"Board: {board}   Ze 0.21 ohm   date 03/11/2026"],
        [],
        GROUPS,
        HEADINGS,
        *circuits,
        [],
        ["Circuits: ", len(circuits)],
        [REMARK],
    ]


def larkfield_schedule() -> bytes:
    return workbook(
        {
            "DB1 Warehouse": schedule_rows("DB1 Warehouse", WAREHOUSE),
            "DB2 Press shop": schedule_rows("DB2 Press shop", PRESS_SHOP),
        },
        {"DB1 Warehouse": MERGED, "DB2 Press shop": MERGED},
    )


def larkfield_with_mistakes() -> bytes:
    """A comma, a unit, a stray word, a number twice, no number, a formula without its result."""
    circuits = [
        ["1", "Water heater", 1, "4.0", "2.5", "60898", "B", 32, "-", "0,28", ">200", ">200", "OK", "N/A"],
        ["2", "Ring sockets", 11, "2.5", "1.5", "61009", "B", 32, 30, 0.51, "240 kΩ", ">200", "OK", "27"],
        ["3", "Lighting", 8, "1.5", "1.0", "61009", "B", 6, 30, 1.08, ">200", "fine", "OK", "25"],
        ["3", "Fire alarm", 3, "1.5", "1.0", "61009", "B", 6, 30, 0.93, ">200", "160", "OK", "23"],
        [None, "Cooker", 1, "6.0", "2.5", "61009", "B", 32, 30, 0.31, ">200", ">200", "maybe", "21"],
        ["6", "Hand dryer", 1, "2.5", "1.5", "61009", "B", "B16", 30, "=J6+J7", ">200", ">200", "OK", "22"],
    ]
    return workbook(
        {"DB1 Warehouse": schedule_rows("DB1 Warehouse", circuits)[:-3]}, {"DB1 Warehouse": MERGED}
    )


def larkfield_text() -> bytes:
    """As an older spreadsheet program saves it: Windows text, semicolons, Ω and Δ lost."""
    rows = schedule_rows("DB1 Warehouse – café end", WAREHOUSE)
    plain = [
        [str(value or "").translate({0x3A9: "?", 0x394: "?", 0x2713: "?"}) for value in row] for row in rows
    ]
    return text_file(plain, ";", "cp1252")


KEPT = {
    "larkfield-schedule.xlsx": larkfield_schedule,
    "larkfield-with-mistakes.xlsx": larkfield_with_mistakes,
    "larkfield-schedule.csv": larkfield_text,
}

if __name__ == "__main__":
    for name, make in KEPT.items():
        (FIXTURES / name).write_bytes(make())
