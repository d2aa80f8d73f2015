"""How fast a report is drawn from its record, beside a bare canvas of the library underneath, in one run.

The canvas draws the very texts of the report's own pages with the same embedded typeface, a line at a time
at the places they were found, on as many pages. It leaves out everything else: setting out the record,
wrapping, rules, colours, paging, bookmarks, tags, pictures, the attached record and its hash. It is a
reference and no bound: it measures each text as it writes it, which ours does not. Times are of the
processor. Only the ratios carry over from one machine to another.
"""

import gc
import time
import tracemalloc
from collections.abc import Callable, Iterator
from functools import partial
from io import BytesIO

import pdfplumber
from reportlab.pdfgen.canvas import Canvas

from reports.pdf.fonts import FONT, register
from reports.report.draw import draw_report
from tests.reports.report.contents import photos, record

SIZES = ((12, 1), (60, 4), (200, 12), (1_000, 60))  # circuits, boards
TARGET = 1.4  # of the time of the canvas, as for schedules
GROWTH = 1.25  # the ratio at 1,000 circuits over the ratio at 200, at most

_Line = tuple[float, float, float, str]
_Page = tuple[float, float, list[_Line]]


def report() -> Iterator[str]:
    """Every line that ``make bench`` prints for reports."""
    ratios = {}
    for circuits, boards in SIZES:
        content = record(circuits, boards)
        pages = _lines(draw_report(content, photos()))
        ours = partial(draw_report, content, photos())
        floor = partial(_floor, pages)
        ours_s, floor_s = _both(ours, floor)
        ratios[circuits] = ours_s / floor_s
        ours_mb, floor_mb = _peak_mb(ours), _peak_mb(floor)
        yield (
            f"Report of {circuits:>5} circuits, {len(pages):>4} pages: ours {ours_s:7.3f} s, "
            f"floor {floor_s:7.3f} s, "
            f"× {ratios[circuits]:.2f} (target {TARGET}); peak {ours_mb:.1f} MB, floor {floor_mb:.1f} MB, "
            f"× {ours_mb / floor_mb:.2f}"
        )
    yield f"Report, ratio at 1,000 over ratio at 200: {ratios[1_000] / ratios[200]:.2f} (target {GROWTH})"


def _both(ours: Callable[[], bytes], floor: Callable[[], bytes]) -> tuple[float, float]:
    """The least time of each, taken in turn, so that a change of the machine's speed meets both."""
    times = [(_seconds(ours), _seconds(floor)) for _ in range(4)]
    return min(time for time, _ in times), min(time for _, time in times)


def _seconds(draw: Callable[[], bytes]) -> float:
    gc.collect()
    start = time.process_time()
    draw()
    return time.process_time() - start


def _peak_mb(draw: Callable[[], bytes]) -> float:
    gc.collect()
    tracemalloc.start()
    draw()
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return peak / 1e6


def _lines(pdf: bytes) -> list[_Page]:
    """Every text of every page as the file shows it: cells and lines, with their places and sizes."""
    with pdfplumber.open(BytesIO(pdf)) as book:
        return [(float(page.width), float(page.height), list(_of_page(page))) for page in book.pages]


def _of_page(page: pdfplumber.page.Page) -> Iterator[_Line]:
    words = page.extract_words(keep_blank_chars=True, x_tolerance=2, extra_attrs=["size"])
    page.close()
    for word in words:
        yield float(word["x0"]), float(page.height - word["bottom"]), float(word["size"]), word["text"]


def _floor(pages: list[_Page]) -> bytes:
    register()
    buffer = BytesIO()
    canvas = Canvas(buffer, pageCompression=1)
    for width, height, lines in pages:
        canvas.setPageSize((width, height))
        for x, y, size, text in lines:
            canvas.setFont(FONT, size)
            canvas.drawString(x, y, text)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()
