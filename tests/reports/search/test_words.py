"""Words as they are searched. What a slip is, is held to a list of edits that knows nothing of how it is
found."""

from string import ascii_lowercase

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.search.words import (
    Match,
    fold,
    one_left_out,
    spellings,
    with_postcode_joined,
    words_of,
)

WORD = st.text("abc", min_size=5, max_size=8)


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("KITCHEN", "kitchen"),
        ("Crème Brûlée", "creme brulee"),
        ("Straße", "strasse"),
        ("Søren", "soren"),
        ("St Mary’s", "st marys"),
        ("St Mary's", "st marys"),
        ("470 kΩ", "470 kohm"),
        ("0.1 µF", "0.1 uf"),
        ("ﬁtting", "fitting"),
    ],
)
def test_fold_leaves_no_case_accent_or_apostrophe(text, folded):
    assert fold(text) == folded


@pytest.mark.parametrize("typed", ["LF3 7QX", "lf37qx", "Lf 37 qx", "LF3 7 qx", " LF3  7QX "])
def test_a_postcode_is_one_word_wherever_its_spaces_stand(typed):
    [joined] = words_of(with_postcode_joined(typed))
    assert joined == "lf37qx"
    assert joined in words_of("Larkfield Hall, Larkfield LF3 7QX")


def test_a_way_is_not_a_number_and_a_decimal_is_one_word():
    assert words_of("DB1/3, 3 Mill Lane, 0.1 µF") == ("db1", "/3", "3", "mill", "lane", "0.1", "uf")


def one_edit(word):
    """Every text one letter wrong, missing, too many, or moved elsewhere makes of a word."""
    letters = ascii_lowercase[:3]
    for n in range(len(word)):
        rest = word[:n] + word[n + 1 :]
        yield rest
        yield from (word[:n] + letter + word[n + 1 :] for letter in letters)
        yield from (rest[:at] + word[n] + rest[at:] for at in range(len(word)))
    for n in range(len(word) + 1):
        yield from (word[:n] + letter + word[n:] for letter in letters)


@given(WORD)
def test_every_edit_of_one_letter_shares_a_spelling(word):
    kept = {spelling for spelling, how in spellings(word) if how is not Match.BEGINS}
    for edited in one_edit(word):
        if len(edited) >= 5:
            assert kept & {edited, *one_left_out(edited)}, edited


@given(WORD, WORD)
def test_two_words_that_share_a_spelling_are_at_most_a_letter_taken_from_one_and_put_into_the_other(one, two):
    shares = {one, *one_left_out(one)} & {two, *one_left_out(two)}
    apart = not any(
        two in (left, *(left[:at] + letter + left[at:] for at in range(len(left) + 1) for letter in "abc"))
        for left in (one, *(one[:n] + one[n + 1 :] for n in range(len(one))))
    )
    assert bool(shares) is not apart


def test_numbers_have_no_slips_and_no_beginnings():
    assert list(spellings("12345")) == [("12345", Match.EXACT)]
    assert one_left_out("12345") == frozenset()
