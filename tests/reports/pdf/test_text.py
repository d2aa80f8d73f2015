"""Text on paper: every sign the trade prints, and wrapping that loses nothing."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.pdf.fonts import has_glyph
from reports.pdf.text import REPLACEMENT, one_line, printable, text_width, wrap

SIGNS = "Ω µ ✓ ✗ ≥ ≤ ′ Δ ² ₀ − × · … – “ ” ’ ° ± ∞ €"
NAMES = "Ångström Łódź naïve Ελένη Жанна"


@pytest.mark.parametrize("sign", (SIGNS + NAMES).replace(" ", ""))
def test_signs_and_names_have_a_glyph(sign):
    assert has_glyph(sign)
    assert printable(sign) == sign


def test_character_without_a_glyph_becomes_a_visible_mark_that_has_one():
    assert printable("電気 💡 😀") == f"{REPLACEMENT * 2} {REPLACEMENT} {REPLACEMENT}"
    assert has_glyph(REPLACEMENT)


def test_printable_composes_accents_and_drops_what_cannot_be_seen():
    assert printable("e\u0301\u200b\u202ex\u00ad\ufe0f") == "éx"
    assert printable("a\u2003b") == "a b"


def test_a_number_is_not_parted_from_its_unit_by_a_no_break_space():
    size = 8
    assert wrap(printable("load of 8\u202fkΩ"), size, text_width("load of 8", size)) == (
        "load of",
        "8\u00a0kΩ",
    )


@pytest.mark.parametrize("figure", ["0.35 MΩ", "500 V", "1.5 mm²", "20 °C", "95 %"])
def test_a_figure_keeps_its_unit_on_its_line(figure):
    room = text_width(f"it reads {figure.split()[0]}", 7) + 1
    assert wrap(f"it reads {figure}", 7, room) == ("it reads", figure)
    narrow = text_width(figure, 7) - 0.1
    assert wrap(figure, 7, narrow) == tuple(figure.split())


def test_wrap_breaks_at_spaces_and_at_line_ends():
    width = text_width("hall lights", 7) + 0.01
    assert wrap("hall lights  on stair", 7, width) == ("hall lights", "on stair")
    assert wrap("hall\nstairs", 7, width) == ("hall", "stairs")
    assert wrap("", 7, width) == ("",)


def test_word_too_long_is_broken_after_punctuation_where_it_can_be():
    width = text_width("BS EN 60898/", 7) + 0.01
    assert wrap("60898-1/61009-1", 7, text_width("60898-1/61", 7)) == ("60898-1/", "61009-1")
    assert "".join(wrap("x" * 300, 7, width)) == "x" * 300


@given(st.text(max_size=400), st.floats(min_value=6, max_value=300))
def test_wrap_loses_nothing_and_no_line_is_too_wide(text, width):
    shown = printable(text)
    lines = wrap(shown, 7, width)
    assert "".join("".join(lines).split(" ")) == "".join(shown.replace("\n", " ").split(" "))
    for line in lines:
        letters = [c for c in line if not unicodedata.combining(c)]
        assert text_width(line, 7) <= width + 1e-6 or len(letters) <= 1 or unicodedata.combining(line[1])


@given(st.text(max_size=200), st.floats(min_value=20, max_value=300))
def test_one_line_fits_and_says_when_its_end_is_left_out(text, width):
    shown = printable(text)
    line = one_line(shown, 7, width)
    assert "\n" not in line
    assert text_width(line, 7) <= width + 1e-6 or len(line) <= 2
    assert line == shown.replace("\n", " ") or line.endswith("…")


def test_figures_are_all_of_one_width():
    assert len({round(text_width(figure, 7), 6) for figure in "0123456789"}) == 1
