"""Labels read back from the printed picture: their text by one library, their QR code by another."""

import subprocess
from dataclasses import replace
from io import BytesIO

import cv2
import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.labels.draw import SMALLEST, Label, LabelError, draw_labels
from reports.labels.sheets import STOCKS, Stock
from reports.pdf.text import printable

TITLE = ("Board DB1 Main intake", "Loads across line and neutral")
LABEL = Label(
    TITLE,
    (
        "2  Hall lights: suppression capacitor 0.1 µF X2, behind hall ceiling rose",
        "5  Landing: neon indicator in switch",
        "7  Study: load module behind fitting, 8 kΩ",
    ),
    "3 Nov 2026",
)
SHORT = Label(("Board DB2",), ("1  Spare",), "3 Nov 2026")
LONG = Label(
    TITLE,
    tuple(
        f"{n}  Room {n}: suppression capacitor behind the ceiling rose, from the loft hatch"
        for n in range(30)
    ),
    "3 Nov 2026",
)
DPI = 300


def pictures(pdf: bytes, tmp_path):
    """Each page as a grey picture, drawn by a program that had no part in writing it."""
    path = tmp_path / "labels.pdf"
    path.write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", "-png", path, tmp_path / "page"], check=True)
    return [cv2.imread(str(file), cv2.IMREAD_GRAYSCALE) for file in sorted(tmp_path.glob("page-*.png"))]


def areas(stock: Stock):
    """(left, top, right, bottom) of each place of a page, in millimetres."""
    for row in range(stock.rows):
        for column in range(stock.columns):
            left = stock.left_mm + column * stock.pitch_x_mm
            top = stock.top_mm + row * stock.pitch_y_mm
            yield left, top, left + stock.label_width_mm, top + stock.label_height_mm


def codes(pdf: bytes, stock: Stock, tmp_path) -> list[str]:
    """What the QR code of each place says, places without ink left out."""
    read = []
    for picture in pictures(pdf, tmp_path):
        for area in areas(stock):
            left, top, right, bottom = (int(mm / 25.4 * DPI) for mm in area)
            label = picture[top:bottom, left:right]
            if label.min() > 128:
                continue
            on_white = cv2.copyMakeBorder(label, 40, 40, 40, 40, cv2.BORDER_CONSTANT, value=255)
            enlarged = cv2.resize(on_white, None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC)
            read.append(cv2.QRCodeDetectorAruco().detectAndDecode(enlarged)[0])
    return read


def squeezed(text: str) -> str:
    return "".join(text.split())


def texts(pdf: bytes, stock: Stock) -> list[str]:
    """The printed text of each place, without white space, empty places left out."""
    found = []
    with pdfplumber.open(BytesIO(pdf)) as book:
        for page in book.pages:
            chars = page.chars
            for left, top, right, bottom in areas(stock):
                box = [mm / 25.4 * 72 for mm in (left, top, right, bottom)]
                inside = [
                    char["text"]
                    for char in chars
                    if box[0] <= char["x0"]
                    and char["x1"] <= box[2]
                    and box[1] <= char["top"]
                    and char["bottom"] <= box[3]
                ]
                if inside:
                    found.append(squeezed("".join(inside)))
    return found


@pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS)
def test_each_code_holds_the_very_text_printed_beside_it(stock, tmp_path):
    pdf = draw_labels([LABEL, SHORT], stock)
    read = codes(pdf, stock, tmp_path)
    printed = texts(pdf, stock)
    assert read
    assert [squeezed(code) for code in read] == printed
    assert read[-1] == "Board DB2\n1  Spare\n3 Nov 2026"


def test_label_that_fits_is_one_label_with_all_its_lines(tmp_path):
    stock = STOCKS["single-100x50"]
    assert codes(draw_labels([LABEL], stock), stock, tmp_path) == [
        "\n".join((*TITLE, *LABEL.lines, LABEL.date))
    ]


@pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS)
def test_text_too_long_goes_on_further_labels_and_nothing_is_lost(stock, tmp_path):
    label = LONG if stock.label_height_mm >= 50 else replace(LONG, lines=LONG.lines[:4])
    read = codes(draw_labels([label], stock), stock, tmp_path)
    assert len(read) > 1
    circuits = []
    for number, code in enumerate(read, start=1):
        lines = code.split("\n")
        assert tuple(lines[:2]) == TITLE
        assert lines[-1] == f"3 Nov 2026 · {number} of {len(read)}"
        circuits += lines[2:-1]
    assert squeezed("".join(circuits)) == squeezed("".join(label.lines))


@pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS)
def test_all_text_stands_inside_its_label_in_type_not_too_small(stock):
    pdf = draw_labels([LABEL, SHORT], stock)
    with pdfplumber.open(BytesIO(pdf)) as book:
        chars = [char for page in book.pages for char in page.chars]
    assert min(char["size"] for char in chars) >= SMALLEST - 0.01
    assert sum(map(len, texts(pdf, stock))) == len(squeezed("".join(char["text"] for char in chars)))


def test_short_text_is_set_larger_than_long_text():
    def largest(label):
        with pdfplumber.open(BytesIO(draw_labels([label], STOCKS["single-100x50"]))) as book:
            return max(char["size"] for char in book.pages[0].chars)

    assert largest(SHORT) > largest(LONG)


def test_used_places_of_a_sheet_are_left_free():
    stock = STOCKS["a4-3x8"]
    pdf = draw_labels([SHORT] * 3, stock, skip=23)
    with pdfplumber.open(BytesIO(pdf)) as book:
        assert len(book.pages) == 2
        first = [char for char in book.pages[0].chars if char["text"] == "S"]
        assert len(first) == 1
        assert first[0]["x0"] > 140 / 25.4 * 72
        assert first[0]["top"] > 256 / 25.4 * 72


def test_pages_have_the_size_of_the_stock():
    for stock in STOCKS.values():
        with pdfplumber.open(BytesIO(draw_labels([SHORT], stock))) as book:
            page = book.pages[0]
            assert (page.width, page.height) == pytest.approx(
                (stock.page_width_mm / 25.4 * 72, stock.page_height_mm / 25.4 * 72), abs=0.1
            )


def test_same_labels_same_bytes():
    assert draw_labels([LABEL], STOCKS["a4-2x4"]) == draw_labels([LABEL], STOCKS["a4-2x4"])


def test_title_that_leaves_no_room_is_refused_with_advice():
    with pytest.raises(LabelError, match=r"no room for circuits on 62 × 29 mm.*larger label"):
        draw_labels([Label(("A very long title " * 30,), ("1 Lights",), "3 Nov 2026")], STOCKS["roll-62x29"])


def test_stock_that_reaches_beyond_its_page_is_refused():
    with pytest.raises(ValueError, match="beyond the page"):
        Stock("wrong", 210, 297, 3, 8, 70, 38, 0, 4.5, 70, 38)


def test_labels_of_a_sheet_do_not_overlap():
    for stock in STOCKS.values():
        assert stock.columns == 1 or stock.pitch_x_mm >= stock.label_width_mm
        assert stock.rows == 1 or stock.pitch_y_mm >= stock.label_height_mm


@settings(max_examples=15)
@given(st.lists(st.text(max_size=120), max_size=6))
def test_any_circuit_text_is_printed_whole(lines):
    stock = STOCKS["single-100x50"]
    printed = "".join(texts(draw_labels([Label(("Board DB1",), tuple(lines), "3 Nov 2026")], stock), stock))
    for line in lines:
        assert squeezed(printable(line)) in printed or len(line) > 60
