"""The lowest and the middle of readings, against every value that the readings can mean."""

from decimal import Decimal
from statistics import median_low

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.rules.readings import Reading
from inspections.rules.spread import Between, between, lowest, middle

numbers = st.integers(1, 500)
texts = st.lists(st.builds(lambda sign, number: f"{sign}{number}", st.sampled_from(["", ">", "<"]), numbers))


def of(*texts):
    return [found for text in texts if (found := between(Reading.parse(text))) is not None]


@pytest.mark.parametrize(
    ("read", "least", "mid"),
    [
        (("0.50",), "0.50", "0.50"),
        ((">200", ">200", "150"), "150", ">200"),
        ((">200", "300"), "200 to 300", "200 to 300"),
        (("<0.01", "1", "2"), "<0.01", "1"),
        (("LIM", "5", "N/V"), "5", "5"),
        ((">200", ">500"), ">200", ">200"),
        (("0.00", "1"), "0.00", "0.00"),
    ],
)
def test_a_reading_beyond_the_range_is_a_bound_and_a_word_is_none(read, least, mid):
    assert (str(lowest(of(*read))), str(middle(of(*read)))) == (least, mid)


def test_a_word_says_nothing():
    assert [between(Reading.parse(text)) for text in ("LIM", "N/V", "N/A", "")] == [None] * 4


@given(texts.filter(bool), st.data())
def test_whatever_the_readings_are_the_figures_lie_between_their_ends(read, data):
    found = of(*read)
    values = [
        data.draw(st.integers(int(one.low), int(min(one.high, Decimal(2000)))), label=str(one))
        for one in found
    ]
    for told, value in ((lowest(found), min(values)), (middle(found), median_low(values))):
        assert told.low <= value <= told.high


@given(texts.filter(bool))
def test_both_ends_can_be_true(read):
    found = of(*read)
    for end in (0, 1):
        values = [one[end] for one in found]
        assert (lowest(found)[end], middle(found)[end]) == (min(values), median_low(values))


@given(st.lists(numbers, min_size=1))
def test_exact_readings_have_exact_figures(read):
    found = [Between(Decimal(number), Decimal(number)) for number in read]
    assert (str(lowest(found)), str(middle(found))) == (str(min(read)), str(median_low(read)))
