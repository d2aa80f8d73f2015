"""The drawing of an installation: every board and every part in it, inside its edges, told apart by shape."""

from itertools import pairwise
from xml.etree import ElementTree

import pytest
from reportlab.graphics.shapes import Drawing, PolyLine, Rect, String

from reports.drawings.installation import WIDTH, installation, sheets
from reports.drawings.svg import to_svg
from reports.installation_drawn import BoardDrawn, CircuitDrawn, InstallationDrawn, LoadDrawn, Mark
from reports.pdf.page import MARGIN, PORTRAIT
from reports.pdf.text import text_width


def circuit(number: int, *loads: Mark, on_label: bool = True) -> CircuitDrawn:
    return CircuitDrawn(str(number), False, tuple(LoadDrawn(mark, "part") for mark in loads), on_label)


def fed(boards: int, ways: int, *, depth: int = 1) -> InstallationDrawn:
    """A main board and what it feeds; every fifth circuit has a part across it."""
    circuits = tuple(circuit(n, *[Mark.HIDDEN] * (n % 5 == 0)) for n in range(1, ways + 1))
    tree = (BoardDrawn(f"DB{n}", "Hall", "DB1", min(n - 1, depth), circuits) for n in range(1, boards + 1))
    return InstallationDrawn("TN-S, three-phase, 230 V to earth, 50 Hz", tuple(tree))


ALL_MARKS = InstallationDrawn(
    "TT",
    (BoardDrawn("DB1", "Hall", "the supply", 0, tuple(circuit(n, mark) for n, mark in enumerate(Mark))),),
)


def texts(drawing: Drawing) -> list[String]:
    return [shape for shape in drawing.contents if isinstance(shape, String)]


def said(drawing: Drawing) -> list[str]:
    return [text.text for text in texts(drawing)]


@pytest.mark.parametrize(("boards", "ways"), [(1, 0), (1, 12), (12, 17), (3, 72), (40, 5)])
def test_every_text_stands_inside_the_drawing(boards, ways):
    for drawing in (installation(fed(boards, ways)), *sheets(fed(boards, ways))):
        for text in texts(drawing):
            width = text_width(text.text, text.fontSize)
            left = text.x - width / 2 if text.textAnchor == "middle" else text.x
            assert 0 <= left <= left + width <= WIDTH
            assert 0 <= text.y <= text.y + text.fontSize <= drawing.height


@pytest.mark.parametrize("drawn", [fed(12, 17), fed(4, 72, depth=3)])
def test_no_two_numbers_of_a_board_run_into_each_other(drawn):
    rows: dict[float, list[tuple[float, float]]] = {}
    for text in texts(installation(drawn)):
        if text.text.isdigit():
            half = text_width(text.text, text.fontSize) / 2
            rows.setdefault(text.y, []).append((text.x - half, text.x + half))
    assert len(rows) == len(drawn.boards)
    for spans in rows.values():
        assert all(end < begin for (_, end), (begin, _) in pairwise(spans))


def test_sheets_show_each_board_once_and_fit_a_page():
    drawn = fed(40, 10)
    parts = list(sheets(drawn))
    shown = [text for part in parts for text in said(part) if text.startswith("DB") and text[2:].isdigit()]
    assert shown == [board.designation for board in drawn.boards]
    assert all(part.height <= PORTRAIT[1] - 2 * MARGIN - 80 for part in parts)
    assert [any(text.startswith("Supply") for text in said(part)) for part in parts] == [True, False, False]


def test_board_is_drawn_further_in_than_the_one_that_feeds_it():
    drawing = installation(fed(4, 3, depth=3))
    boxes = [shape for shape in drawing.contents if isinstance(shape, Rect) and shape.fillColor is None]
    assert [box.x for box in boxes] == sorted({box.x for box in boxes})
    assert [box.y for box in boxes] == sorted((box.y for box in boxes), reverse=True)


def test_each_mark_has_a_shape_of_its_own():
    drawing = installation(ALL_MARKS)
    squares = [s for s in drawing.contents if isinstance(s, Rect) and s.fillColor is not None]
    circles = [s.fillColor is None for s in drawing.contents if type(s).__name__ == "Circle"]
    assert len(squares) == 2  # at the circuit and in the key
    assert sorted(circles) == [False, False, True, True, True]  # discs, rings, and the sign of the supply
    assert said(drawing).count("?") == 2


def test_part_not_on_the_label_stands_in_brackets_and_the_key_says_so():
    labelled, bare = (
        installation(
            InstallationDrawn(
                "TT", (BoardDrawn("DB1", "", "the supply", 0, (circuit(1, Mark.SEEN, on_label=named),)),)
            )
        )
        for named in (True, False)
    )
    assert "not on the board’s label" in said(bare)
    assert "not on the board’s label" not in said(labelled)
    lines = [sum(isinstance(s, PolyLine) for s in drawing.contents) for drawing in (bare, labelled)]
    assert lines[0] - lines[1] == 4  # two brackets at the circuit, two in the key


def test_same_installation_gives_the_same_svg_in_the_colours_of_the_page():
    drawn = fed(3, 12)
    svg = to_svg(installation(drawn), drawn.in_words)
    assert svg == to_svg(installation(drawn), drawn.in_words)
    root = ElementTree.fromstring(svg)
    assert root.get("aria-label") == drawn.in_words
    colours = {e.get(name) for e in root.iter() for name in ("fill", "stroke")} - {None, "none"}
    assert colours == {"currentColor", "var(--quiet)"}
