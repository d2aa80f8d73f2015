"""How fast schedules are written, beside the floor of the library underneath, in the same run.

The floor of the PDF is a bare reportlab canvas drawing the same texts one by one, unwrapped, without rules
or paging decisions. The floor of the workbook is openpyxl appending the same values and setting number
formats and widths. Times are of the processor, so that a busy machine counts less. Only the ratios carry
over from one machine to another.
"""

import gc
import time
import tracemalloc
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from io import BytesIO
from tempfile import TemporaryFile

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from inspections.columns import BY_NAME, DETAILS, RESULTS, Column, Kind
from inspections.rules.readings import Reading
from reports.pdf.fonts import FONT, register
from reports.pdf.page import LANDSCAPE, MARGIN
from reports.pdf.schedule import write_pdf
from reports.pdf.table import SIZE, column_edges
from reports.sheets.csv_text import csv_lines
from reports.sheets.sheet import Cell, Document, Fact, Sheet
from reports.sheets.text import cell_text
from reports.xlsx.long import write_long_xlsx
from reports.xlsx.safe import number_format
from reports.xlsx.schedule import write_xlsx

_WAYS = 25  # circuits of each invented board
_RESULT_COLUMNS = (BY_NAME["designation"], BY_NAME["description"], *RESULTS)


@dataclass(frozen=True, slots=True)
class Timing:
    """Ours and the floor for so many circuits, in seconds; the most memory, in bytes a thousand circuits."""

    what: str
    circuits: int
    ours_s: float
    floor_s: float
    peak_bytes_per_thousand: float

    @property
    def ratio(self) -> float:
        return self.ours_s / self.floor_s

    def __str__(self) -> str:
        return (
            f"{self.what}, {self.circuits:>6} circuits: ours {self.ours_s:7.3f} s, "
            f"floor {self.floor_s:7.3f} s, "
            f"× {self.ratio:.2f}, {self.peak_bytes_per_thousand / 1e6:.1f} MB a thousand"
        )


def bench_pdf(sizes: tuple[int, ...] = (24, 200, 2_000, 10_000)) -> Iterator[Timing]:
    """Both schedules of every circuit, 34 columns, as a PDF."""
    for circuits in sizes:
        yield _compare("PDF", circuits, write_pdf, _floor_pdf)


def bench_xlsx(sizes: tuple[int, ...] = (200, 1_000, 10_000)) -> Iterator[Timing]:
    """Both schedules of every circuit, 34 columns, as a workbook."""
    for circuits in sizes:
        yield _compare("XLSX", circuits, write_xlsx, _floor_xlsx)


def bench_exports(rows: int = 10_000) -> Iterator[Timing]:
    """A whole firm's rows in one sheet, 34 columns, written row by row: as a workbook and as CSV."""
    columns = (*DETAILS, *RESULTS)

    def document(rows_of: Callable[[Iterator], object], number: int) -> Document:
        sheet = Sheet("Rows", columns, rows_of(_row(columns, at) for at in range(number)))
        return Document("Rows of a firm", (sheet,))

    for what, ours in (("XLSX by rows", _long_xlsx), ("CSV by rows", _csv)):
        at_hand = document(tuple, rows)
        floor_s, ours_s = [], []
        for _ in range(3):
            floor_s.append(_seconds(_floor_xlsx, at_hand))
            ours_s.append(_seconds(ours, at_hand))
        peak = _peak_bytes(ours, document(iter, rows))
        yield Timing(what, rows, min(ours_s), min(floor_s), peak * 1_000 / rows)


def _long_xlsx(document: Document) -> None:
    with TemporaryFile() as file:
        write_long_xlsx(document, file)


def _csv(document: Document) -> None:
    [sheet] = document.sheets
    for _ in csv_lines(sheet):
        pass


def report() -> Iterator[str]:
    """Every line that ``make bench`` prints for schedules."""
    pdf = list(bench_pdf())
    yield from map(str, pdf)
    ratios = {timing.circuits: timing.ratio for timing in pdf}
    yield f"PDF, ratio at 10,000 over ratio at 200: {ratios[10_000] / ratios[200]:.2f}"
    yield from map(str, bench_xlsx())
    for timing in bench_exports():
        peak_mb = timing.peak_bytes_per_thousand * timing.circuits / 1e9
        yield f"{timing}, {peak_mb:.1f} MB in all (targets 0.70 and 10 MB)"


def _compare(
    what: str, circuits: int, ours: Callable[[Document], bytes], floor: Callable[[Document], bytes]
) -> Timing:
    document = _document(circuits)
    rounds = 5 if circuits <= 1_000 else 3
    ours_s, floor_s = [], []
    for _ in range(rounds):  # taken in turn, so that a change of the machine's speed meets both
        floor_s.append(_seconds(floor, document))
        ours_s.append(_seconds(ours, document))
    peak = _peak_bytes(ours, _document(min(circuits, 2_000)))
    return Timing(what, circuits, min(ours_s), min(floor_s), peak * 1_000 / min(circuits, 2_000))


def _seconds(write: Callable[[Document], bytes], document: Document) -> float:
    gc.collect()
    start = time.process_time()
    write(document)
    return time.process_time() - start


def _peak_bytes(write: Callable[[Document], bytes], document: Document) -> int:
    tracemalloc.start()
    write(document)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return peak


def _floor_pdf(document: Document) -> bytes:
    register()
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=LANDSCAPE, pageCompression=1)
    for sheet in document.sheets:
        lefts = column_edges(sheet.columns, LANDSCAPE[0] - 2 * MARGIN)
        canvas.setFont(FONT, SIZE)
        y = LANDSCAPE[1] - MARGIN
        for row in (tuple(column.title for column in sheet.columns), *sheet.rows):
            y -= 5 * mm
            for left, cell in zip(lefts, row, strict=False):
                canvas.drawString(MARGIN + left, y, cell_text(cell))
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _floor_xlsx(document: Document) -> bytes:
    book = Workbook()
    for number, sheet in enumerate(document.sheets):
        page = book.create_sheet(str(number))
        page.append([column.title for column in sheet.columns])
        for row, cells in enumerate(sheet.rows, start=2):
            for index, value in enumerate(map(_plain, cells), start=1):
                cell = page.cell(row, index, value)
                if isinstance(value, Decimal):
                    cell.number_format = number_format(str(value)) or "General"
        for index, column in enumerate(sheet.columns, start=1):
            page.column_dimensions[get_column_letter(index)].width = column.width_mm / 2
    buffer = BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def _plain(cell: Cell) -> Decimal | int | str | None:
    if isinstance(cell, Reading):
        return cell.value if cell.text[:1].isdigit() else cell.text or None
    return cell


def _document(circuits: int) -> Document:
    boards = (circuits + _WAYS - 1) // _WAYS
    return Document(
        title="Schedules of circuits and test results",
        identity="Larkfield Mill House",
        sheets=tuple(
            Sheet(f"DB{board + 1}: {title}", columns, _rows(columns, board, circuits), (Fact("Board", "DB"),))
            for board in range(boards)
            for title, columns in (("circuit details", DETAILS), ("test results", _RESULT_COLUMNS))
        ),
    )


def _rows(columns: tuple[Column, ...], board: int, circuits: int) -> tuple[tuple[Cell, ...], ...]:
    numbers = range(board * _WAYS, min((board + 1) * _WAYS, circuits))
    return tuple(_row(columns, number) for number in numbers)


def _row(columns: tuple[Column, ...], number: int) -> tuple[Cell, ...]:
    return tuple(_cell(column, number) for column in columns)


def _cell(column: Column, number: int) -> Cell:
    # Invented values that differ from row to row as real ones do.
    if column.name == "designation":
        return str(number % _WAYS + 1)
    if column.name == "description":
        return ("Ring final circuit, sockets of floor", "Lights of floor", "Heater in room")[
            number % 3
        ] + f" {number}"
    if column.name == "remarks":
        return f"Luminaire {number} not taken down, agreed with the manager" if number % 8 == 0 else ""
    if column.kind is Kind.TICK:
        return Reading.parse(("✓", "✓", "N/A")[number % 3])
    if column.kind is Kind.READING:
        return Reading.parse(
            (f"{number % 293 / 100:.2f}", ">200", f"{number % 71 / 10:.1f}", "LIM")[number % 4]
        )
    if column.kind is Kind.TEXT:
        return "BS EN 61009" if column.name.endswith("standard") else "B"
    return Decimal(number % 40) if column.kind is Kind.DECIMAL else 500
