"""The before-you-test sheet on paper, read back: nothing of it is missing, and it is legible at the board."""

from dataclasses import replace
from datetime import date

import pytest

from remedies import cautions
from remedies.before_test import BeforeTest, CircuitToTest, LoadToDisconnect, Untested
from reports.pdf.before_test import AT_ARMS_LENGTH, before_test_pdf
from tests.reports.pdf.reading_back import all_text, opened, page_texts, squeezed

LOAD = LoadToDisconnect(
    pk=1,
    what="2 × X2 0.1 µF with 470 kΩ",
    place="Above the ceiling roses at the two ends of the corridor",
    access="Lift the roses, step ladder",
    minutes=20,
    is_hidden=True,
    is_suspected=False,
    is_disconnected=False,
    state="In place",
    connection="Line to neutral",
    test="live-live",
    would_read={500: "0.20 to 0.25", 250: "0.21 to 0.26"},
    must_come_out=True,
    what_to_do="Disconnect first, or test lower: not known well enough.",
    reason="Its discharge resistor may be worked beyond its rating.",
    holds_charge=True,
    cautions=(cautions.HOLDS_CHARGE,),
)
X_TO_EARTH = replace(
    LOAD, what="X2 0.22 µF L-E", test="live-earth", minutes=None, cautions=(cautions.X_CLASS_FOUND,)
)
SUSPECTED = replace(LOAD, what="unknown load", is_suspected=True, what_to_do="Look for it.", cautions=())
CIRCUIT = CircuitToTest(
    pk=1,
    designation="5",
    description="Lights, long corridor",
    loads=(LOAD,),
    expected={500: "0.16 to 0.20", 250: "0.17 to 0.21"},
    test_v=500,
    test_why="BS 7671 643.3",
    lower_v=250,
    lower_why="unless disconnected: dimmer",
    last="0.19 MΩ at 500 V, 17 Nov 2026",
    without_full="2 inspections on record, none with a full line-neutral test.",
    lifted_by="",
)
SHEET = BeforeTest(
    board="DB2",
    location="Offices",
    installation="Larkfield Mill",
    prepared_on=date(2026, 11, 25),
    order=("Isolate at the board.", "Disconnect each load."),
    circuits=(CIRCUIT, replace(CIRCUIT, designation="6", loads=(X_TO_EARTH, SUSPECTED))),
    quiet=("1", "2"),
    at_250=(("5", "unless disconnected: dimmer"),),
    to_discharge=(("5", "2 × X2 0.1 µF, above the roses"),),
    suspected=(("6", "unknown load, somewhere"),),
    not_put_back=(("5", "neon, hall"),),
    untested=(Untested("9", "Live-live", "Servers may not be switched off", "agreed with R. Sallow"),),
    minutes=20,
    unknown_minutes=1,
    cautions=cautions.GENERAL,
)


def sheet_pdf(sheet=SHEET):
    return before_test_pdf(sheet, firm="Tidewell Electrical")


def drawn_sizes(pdf, words):
    """The type sizes in which a text is drawn."""
    with opened(pdf) as book:
        chars = [char for page in book.pages for char in page.chars]
    text = "".join(char["text"] for char in chars)
    start = text.index(words)
    return {round(char["size"], 2) for char in chars[start : start + len(words)]}


def test_everything_the_tester_must_know_stands_on_it():
    text = all_text(sheet_pdf())

    for words in (
        *SHEET.order,
        *cautions.GENERAL,
        "DB2, Offices",
        "Larkfield Mill, as known on 25 Nov 2026",
        "To disconnect everything: 20 minutes, and 1 load whose time is not recorded.",
        "NOT PUT BACK since the last test: 5, neon, hall",
        "5: unless disconnected: dimmer",
        "5: 2 × X2 0.1 µF, above the roses",
        "6: unknown load, somewhere",
        "9: Live-live. Servers may not be switched off (agreed with R. Sallow)",
        "5 Lights, long corridor: test at 500 V, or 250 V",
        "0.16 to 0.20 MΩ at 500 V, 0.17 to 0.21 MΩ at 250 V",
        CIRCUIT.last,
        CIRCUIT.without_full,
        LOAD.what,
        cautions.X_CLASS_FOUND,
        "Suspected: unknown load",
        "circuits 1, 2",
    ):
        assert squeezed(words) in text


@pytest.mark.parametrize(
    "words", ["2 × X2 0.1 µF with 470 kΩ", "500 V: 0.20 to 0.25", "250 V: 0.21 to 0.26", "Lift the roses"]
)
def test_a_load_is_read_at_arms_length(words):
    """10 points at least: common practice for text read at 0.7 m, no source."""
    assert drawn_sizes(sheet_pdf(), words) == {AT_ARMS_LENGTH}
    assert AT_ARMS_LENGTH >= 10


def test_every_load_but_a_suspected_one_has_its_two_boxes():
    with opened(sheet_pdf()) as book:
        boxes = [rect for page in book.pages for rect in page.rects]

    loads = [load for circuit in SHEET.circuits for load in circuit.loads if not load.is_suspected]
    assert len(boxes) == 2 * len(loads)
    assert all(rect["width"] == pytest.approx(rect["height"]) and not rect["fill"] for rect in boxes)


def test_it_is_black_on_white():
    with opened(sheet_pdf()) as book:
        inks = {char["non_stroking_color"] for page in book.pages for char in page.chars}

    assert all(max(ink) - min(ink) < 0.05 and max(ink) < 0.45 for ink in inks)


def test_few_loads_stand_on_one_portrait_page():
    with opened(sheet_pdf()) as book:
        (page,) = book.pages
        assert (round(page.width), round(page.height)) == (595, 842)
    assert "Page 1 of 1" in page_texts(sheet_pdf())[0]


def test_more_loads_than_fit_go_on_overleaf_and_none_is_lost():
    circuits = tuple(
        replace(CIRCUIT, designation=str(n), loads=(replace(LOAD, what=f"resistor {n}47 kΩ"),))
        for n in range(1, 26)
    )

    pages = page_texts(sheet_pdf(replace(SHEET, circuits=circuits)))

    assert len(pages) > 1
    assert all(f"Page {number} of {len(pages)}" in page for number, page in enumerate(pages, start=1))
    with_loads = [page for page in pages if "resistor" in page]
    assert all("What to do" in page for page in with_loads)  # the heading of the table is there again
    together = squeezed("".join(pages))
    assert all(squeezed(f"resistor {n}47 kΩ") in together for n in range(1, 26))


def test_nothing_stands_outside_the_margins():
    circuits = (replace(CIRCUIT, description="W" * 200, loads=(replace(LOAD, place="i" * 200),)),)
    with opened(sheet_pdf(replace(SHEET, circuits=circuits))) as book:
        chars = [char for page in book.pages for char in page.chars]

    assert min(char["x0"] for char in chars) > 28
    assert max(char["x1"] for char in chars) < 595 - 28


def test_a_board_without_loads_promises_nothing():
    lists = ("circuits", "at_250", "to_discharge", "suspected", "not_put_back", "untested")

    text = all_text(sheet_pdf(replace(SHEET, **dict.fromkeys(lists, ()))))

    assert squeezed("That does not prove there is nothing.") in text
    assert squeezed("To disconnect everything") not in text


def test_the_same_sheet_gives_the_same_bytes():
    assert sheet_pdf() == sheet_pdf()
