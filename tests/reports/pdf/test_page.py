"""The page frame and the blocks, as other documents than schedules use them."""

from dataclasses import replace

import pytest

from reports.pdf.blocks import PARAGRAPH, facts_block, heading, opening
from reports.pdf.page import LANDSCAPE, PORTRAIT, Frame, Section, compose, space
from reports.sheets.sheet import Fact
from tests.reports.pdf.reading_back import opened, page_texts, squeezed

SENTENCE = "Disconnect the module behind the hall fitting before the insulation test. "


def report(size) -> bytes:
    frame = Frame(
        "Before-you-test sheet", identity="Larkfield Mill House", size=size, cautions=("Prove dead.",)
    )
    first = opening(frame, "For the next tester", (Fact("Installation", "Larkfield"),))
    section = (*heading("What to disconnect", frame.width), *PARAGRAPH.pieces(SENTENCE * 200, frame.width))
    return compose(frame, (Section(frame.title, first), Section("Disconnect", section, new_page=False)))


@pytest.mark.parametrize("size", [PORTRAIT, LANDSCAPE])
def test_running_text_goes_over_pages_and_stays_between_head_and_foot(size):
    pdf = report(size)
    texts = page_texts(pdf)
    assert len(texts) >= 2
    assert squeezed("".join(texts)).count("insulation") == 200
    assert "Disconnect (continued)" in texts[1]
    with opened(pdf) as book:
        for page in book.pages:
            assert page.width == pytest.approx(size[0], abs=0.1)
            tops = {round(char["top"]) for char in page.chars}
            bottom = [char for char in page.chars if char["bottom"] > page.height - 40]
            assert "Prove" in "".join(char["text"] for char in bottom)
            assert max(tops) < page.height - 28


def test_heading_is_not_left_alone_at_the_foot_of_a_page():
    frame = Frame("Report", size=PORTRAIT)
    line = PARAGRAPH.pieces("A line of text.", frame.width)
    for filled in range(70, 80):
        pieces = (*(line * filled), *heading("A heading", frame.width), *line)
        texts = page_texts(compose(frame, (Section("Part", pieces),)))
        for text in texts:
            if "A heading" in text:
                assert text.index("A heading") < text.rindex("A line of text.")


def test_long_fact_is_printed_whole():
    frame = Frame("Report", size=PORTRAIT)
    value = " ".join(f"word{n}" for n in range(400))
    texts = page_texts(
        compose(frame, (Section("Facts", facts_block((Fact("Extent", value),), frame.width)),))
    )
    assert squeezed(value) in squeezed("".join(texts))


def test_facts_stand_side_by_side_until_the_row_is_full():
    frame = Frame("Report", size=PORTRAIT)
    facts = tuple(Fact(f"Label {n}", f"value {n}") for n in range(14))
    lines = page_texts(compose(frame, (Section("Facts", facts_block(facts, frame.width)),)))[0].splitlines()
    values = [line for line in lines if "value" in line]
    assert len(values) == 2  # the grid has twelve columns
    assert " ".join(values).split() == " ".join(fact.value for fact in facts).split()


def test_a_page_of_spaces_is_still_a_page():
    assert "Page 1 of 1" in page_texts(compose(Frame("Empty"), (Section("None", (space(10),)),)))[0]


def test_section_with_a_frame_of_its_own_has_pages_of_its_own():
    upright, lying = (
        Frame("Report", size=PORTRAIT),
        Frame("Report", cautions=("Prove dead.",), size=LANDSCAPE),
    )
    sections = (
        Section("First", PARAGRAPH.pieces("Upright.", upright.width)),
        Section("Schedule", PARAGRAPH.pieces("Lying.", lying.width), new_page=False, frame=lying),
        Section("Last", PARAGRAPH.pieces("Upright again.", upright.width), new_page=False),
    )
    with opened(compose(upright, sections)) as book:
        assert [page.width > page.height for page in book.pages] == [False, True, False]
        texts = [page.extract_text() for page in book.pages]
    assert ["Prove dead." in text for text in texts] == [False, True, False]
    assert ["Page 1 of 3" in texts[0], "Page 2 of 3" in texts[1], "Page 3 of 3" in texts[2]] == [True] * 3


def test_page_whose_section_goes_on_names_the_page_it_goes_on_to():
    texts = page_texts(report(PORTRAIT))
    assert all(f"continues on page {n + 1}" in text for n, text in enumerate(texts[:-1], start=1))
    assert "continues on" not in texts[-1]


def test_gap_never_begins_or_ends_a_page():
    frame = Frame("Report", size=PORTRAIT)
    line = PARAGRAPH.pieces("A line of text.", frame.width)
    gap = replace(space(60), gap=True)
    for filled in range(66, 80):
        bare = compose(frame, (Section("Above", line * filled),))
        ended = compose(frame, (Section("Above", (*(line * filled), gap)),))
        assert len(page_texts(ended)) == len(page_texts(bare))
    begun = compose(frame, (Section("Above", line), Section("Below", (replace(gap, keep=True), *line))))
    with opened(begun) as book:
        head, text = book.pages[1].extract_text_lines()[:2]
        assert text["text"] == "A line of text."
        assert text["top"] - head["top"] < 30


@pytest.mark.parametrize(("room", "pages"), [(100, 1), (400, 2)])
def test_a_section_that_asks_for_room_turns_the_page_only_where_there_is_less(room, pages):
    frame = Frame("Report", size=PORTRAIT)
    upper, line = space(500), PARAGRAPH.pieces("The end.", frame.width)
    sections = (Section("Body", (upper,)), Section("End", line, room=room))
    texts = page_texts(compose(frame, sections))
    assert len(texts) == pages
    assert "The end." in texts[-1]
