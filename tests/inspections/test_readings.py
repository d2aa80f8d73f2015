"""The reading notation, as DESIGN of the record fixes it: the text stays, and it knows its value."""

import string
from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inspections.rules.readings import BLANK, Reading, ReadingError, Relation, State

WORDS = ["LIM", "N/V", "N/A", "✓", "✗"]

digits = st.from_regex(r"\A(?:[0-9]{1,6}(?:\.[0-9]{1,4})?|\.[0-9]{1,4})\Z")
measured_texts = st.builds("{}{}".format, st.sampled_from(["", "<", ">"]), digits)
texts = st.one_of(measured_texts, st.sampled_from(["", *WORDS]))
readings = texts.map(Reading.parse)
measured = measured_texts.map(Reading.parse)
limits = st.decimals("0.01", "2000", places=2)


def random_case(text):
    return st.tuples(*(st.sampled_from([letter.lower(), letter.upper()]) for letter in text)).map("".join)


@given(texts)
def test_what_is_written_is_kept(text):
    assert str(Reading.parse(text)) == text
    assert Reading.parse(str(Reading.parse(text))) == Reading.parse(text)


@given(measured_texts, st.sampled_from(["", " ", "  ", "\t", "\n"]))
def test_spaces_around_the_sign_and_the_number_do_not_matter(text, space):
    sign, number = (text[0], text[1:]) if text[0] in "<>" else ("", text)
    assert Reading.parse(f"{space}{sign}{space}{number}{space}").text == text


@given(digits, st.sampled_from(list(Relation)))
def test_a_number_knows_its_value_and_relation(number, relation):
    reading = Reading.parse(f"{relation.value}{number}".removeprefix("="))
    assert reading.state is State.MEASURED
    assert reading.relation is relation
    assert reading.value == Decimal(number)


@given(st.integers(0, 9999), st.integers(0, 4))
def test_trailing_zeros_carry_the_resolution(units, places):
    text = f"{Decimal(units).scaleb(-places):.{places}f}"
    assert Reading.parse(text).text == text
    assert Reading.parse(text).resolution == Decimal(1).scaleb(-places)


@given(st.sampled_from(["LIM", "N/V", "N/A"]).flatmap(random_case))
def test_words_are_read_in_any_case(text):
    reading = Reading.parse(text)
    assert reading.text == text.upper()
    assert not reading.is_measured
    assert reading.value is None
    assert reading.resolution is None


def test_nothing_written_is_blank_and_false():
    assert Reading.parse("  ") is BLANK
    assert not BLANK
    assert Reading.parse("LIM")
    assert Reading.parse("0.00")  # a short circuit is a reading too


@given(st.decimals(0, 99999, places=2), st.sampled_from(list(Relation)))
def test_a_number_from_an_instrument_reads_like_one_typed(value, relation):
    reading = Reading.measured(value, relation)
    assert reading == Reading.parse(f"{relation.value}{value}".removeprefix("="))
    assert reading.value == value


def test_a_number_in_powers_of_ten_is_written_out():
    assert Reading.measured(Decimal("1E+3")).text == "1000"


@pytest.mark.parametrize("value", ["-1", "NaN", "Infinity"])
def test_what_is_no_reading_cannot_be_measured(value):
    with pytest.raises(ReadingError):
        Reading.measured(Decimal(value))


# Order


@given(readings, readings)
def test_of_two_readings_one_comes_first_unless_they_are_the_same(one, other):
    assert [one < other, one == other, one > other].count(True) == 1


@given(readings, readings, readings)
def test_order_holds_through_a_third(one, two, three):
    first, second, third = sorted([one, two, three])
    assert first <= second <= third
    assert first <= third


@given(measured, measured)
def test_order_agrees_with_value(one, other):
    if one.value < other.value:
        assert one < other


@given(digits)
def test_at_one_value_below_comes_first_and_above_last(number):
    below, exact, above = Reading.parse(f"<{number}"), Reading.parse(number), Reading.parse(f">{number}")
    assert below < exact < above


@given(measured, st.sampled_from(["", *WORDS]))
def test_words_and_blanks_come_after_numbers(number, word):
    assert number < Reading.parse(word)


@given(readings, readings)
def test_equal_readings_hash_alike(one, other):
    if one == other:
        assert hash(one) == hash(other)
    assert len({one, Reading.parse(one.text)}) == 1


def test_a_reading_is_not_its_text():
    assert Reading.parse("0.35") != "0.35"
    with pytest.raises(TypeError):
        Reading.parse("0.35") < "0.35"  # noqa: B015


# Limits. “True value” is what a perfect instrument would have shown: the reading says which values it may be.

_MAY_BE = {
    Relation.BELOW: lambda true, written: true < written,
    Relation.EQUAL: lambda true, written: true == written,
    Relation.ABOVE: lambda true, written: true > written,
}


@given(measured, limits, st.decimals(0, 10000, places=4))
def test_no_true_value_contradicts_the_answer(reading, limit, true):
    true = reading.value if reading.relation is Relation.EQUAL else true
    assume(_MAY_BE[reading.relation](true, reading.value))
    if (answer := reading.at_least(limit)) is not None:
        assert answer is (true >= limit)
    if (answer := reading.at_most(limit)) is not None:
        assert answer is (true <= limit)


@given(measured, limits)
def test_the_answer_is_open_only_when_true_values_lie_on_both_sides(reading, limit):
    tiny = Decimal("1e-9")
    far = {Relation.BELOW: Decimal(0), Relation.EQUAL: reading.value, Relation.ABOVE: Decimal("1e9")}
    near = {
        Relation.BELOW: reading.value - tiny,
        Relation.EQUAL: reading.value,
        Relation.ABOVE: reading.value + tiny,
    }
    nearest, furthest = near[reading.relation], far[reading.relation]
    if reading.at_least(limit) is None:
        assert (nearest >= limit) is not (furthest >= limit)
    if reading.at_most(limit) is None:
        assert (nearest <= limit) is not (furthest <= limit)


@given(measured, limits)
def test_the_two_questions_never_contradict(reading, limit):
    assert (reading.at_least(limit), reading.at_most(limit)) != (False, False)
    if reading.at_least(limit) and reading.at_most(limit):
        assert reading.value == limit


@given(st.sampled_from(["", *WORDS]), limits)
def test_a_word_answers_no_limit(word, limit):
    assert Reading.parse(word).at_least(limit) is None
    assert Reading.parse(word).at_most(limit) is None


@pytest.mark.parametrize(
    ("text", "limit", "at_least", "at_most"),
    [
        (">200", "1", True, False),
        (">200", "200", True, False),
        (">200", "999", None, None),  # the instrument ended before the limit
        ("<0.01", "0.05", False, True),
        ("<0.50", "0.05", None, None),
        (">300", "300", True, False),  # an RCD that did not trip in time
        ("1.00", "1", True, True),
    ],
)
def test_readings_at_the_end_of_a_range(text, limit, at_least, at_most):
    reading = Reading.parse(text)
    assert reading.at_least(Decimal(limit)) is at_least
    assert reading.at_most(Decimal(limit)) is at_most


# What is not in the notation


def advice_on(text):
    """What the person is told, or None when the text is read."""
    try:
        Reading.parse(text)
    except ReadingError as error:
        return str(error)
    return None


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_with_what_was_written(text):
    advice = advice_on(text)
    if advice is None:
        assert Reading.parse(text).is_blank is (text.strip() == "")
    else:
        assert text.strip() in advice


@given(st.text(st.characters(whitelist_categories=["Nd"]), min_size=1, max_size=8))
def test_only_the_digits_of_every_keyboard_are_digits(text):
    if set(text) <= set(string.digits):
        assert Reading.parse(text).value == int(text)
    else:
        with pytest.raises(ReadingError):
            Reading.parse(text)


@pytest.mark.parametrize(
    ("written", "advice"),
    [
        ("0,35", "Type a point: 0.35"),
        (">1,5", "Type a point: >1.5"),
        ("0.35 Ω", "in the unit of the column heading: 0.35"),
        ("> 200 MΩ", "in the unit of the column heading: > 200"),
        ("28ms", "in the unit of the column heading: 28"),
        ("-0.1", "A reading is zero or more"),
        ("−0.1", "A reading is zero or more"),
        ("good", "Type a number such as 0.35"),
        ("0.3.5", "Type a number such as 0.35"),
        (">", "Type a number such as 0.35"),
        ("≥200", "Type a number such as 0.35"),
        ("1e3", "in the unit of the column heading: 1"),
        ("1234567890123", "more digits than any instrument shows"),
    ],
)
def test_advice(written, advice):
    with pytest.raises(ReadingError, match="“") as refusal:
        Reading.parse(written)
    assert written in str(refusal.value)
    assert advice in str(refusal.value)


# Ticks


@pytest.mark.parametrize(
    ("typed", "tick"),
    [
        ("y", "✓"),
        ("Y", "✓"),
        ("✓", "✓"),
        ("x", "✗"),
        ("X", "✗"),
        ("✗", "✗"),
        (" lim ", "LIM"),
        ("n/a", "N/A"),
        ("", ""),
    ],
)
def test_a_tick_may_be_typed_on_any_keyboard(typed, tick):
    assert Reading.parse_tick(typed).text == tick


@given(measured_texts)
def test_a_tick_is_never_a_number(text):
    with pytest.raises(ReadingError, match="is a number"):
        Reading.parse_tick(text)


def test_y_and_x_are_no_readings():
    for letter in "yx":
        with pytest.raises(ReadingError):
            Reading.parse(letter)
