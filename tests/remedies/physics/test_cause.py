"""Causes of a glow weighed by answers, and the order of the questions."""

import math
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remedies.physics.cause import BASIS, CAUSES, QUESTIONS, next_question, weigh
from remedies.physics.checked import InputError

ANSWERS = st.fixed_dictionaries(
    {}, optional={question.key: st.sampled_from(question.answers) for question in QUESTIONS}
)


def _asked_through(cause: str) -> dict[str, str]:
    """Every question worth asking, answered as this cause most often would."""
    answers: dict[str, str] = {}
    while (found := next_question(answers)) is not None:
        question = found.question
        likely = question.likely[cause]
        answers[question.key] = question.answers[likely.index(max(likely))]
    return answers


def test_the_causes_the_trade_knows_are_all_there() -> None:
    assert {cause.key for cause in CAUSES} >= {
        "coupling",
        "control",
        "indicator",
        "dimmer",
        "switched_neutral",
        "leakage",
        "afterglow",
        "borrowed_neutral",
    }
    assert "assumption" in BASIS
    assert {cause.key for cause in CAUSES if cause.dangerous} == {
        "switched_neutral",
        "leakage",
        "borrowed_neutral",
    }


def test_every_question_weighs_every_cause_and_is_complete() -> None:
    for question in QUESTIONS:
        assert set(question.likely) == {cause.key for cause in CAUSES}
        for shares in question.likely.values():
            assert len(shares) == len(question.answers) >= 2
            assert sum(shares) == pytest.approx(1)
            assert all(0 < share < 1 for share in shares)
        assert question.text.endswith("?")
        assert question.why


def test_questions_that_touch_conductors_carry_a_caution() -> None:
    touching = {"line_at_lamp", "two_meters", "insulation", "neutral_current", "indicator_out"}
    cautioned = {question.key for question in QUESTIONS if question.caution}
    assert touching <= cautioned
    for question in QUESTIONS:
        if question.key in touching:
            assert "competent" in question.caution or "prove dead" in question.caution


def test_nothing_asked_leaves_the_judgement_weights() -> None:
    weights = {each.cause.key: each.weight for each in weigh({})}
    total = sum(cause.prior for cause in CAUSES)
    for cause in CAUSES:
        assert weights[cause.key] == pytest.approx(cause.prior / total, rel=0.02)


@given(ANSWERS)
def test_weights_add_up_and_never_reach_certainty(answers: dict[str, str]) -> None:
    weights = [each.weight for each in weigh(answers)]
    assert sum(weights) == pytest.approx(1)
    assert all(0 < weight < 1 for weight in weights)
    assert weights == sorted(weights, reverse=True)


def test_the_order_of_the_answers_does_not_matter() -> None:
    answers = {"fades": "it stays steady", "switch": "dimmer", "run": "yes"}
    one, other = weigh(answers), weigh(dict(reversed(answers.items())))
    assert [each.cause.key for each in one] == [each.cause.key for each in other]
    assert [each.weight for each in one] == pytest.approx([each.weight for each in other])


def test_bayes_rule_by_hand_for_one_answer() -> None:
    # weight after = prior × share of the answer, over the sum of the same for all causes.
    question = next(each for each in QUESTIONS if each.key == "run")
    index = question.answers.index("yes")
    total = sum(cause.prior * question.likely[cause.key][index] for cause in CAUSES)
    found = {each.cause.key: each.weight for each in weigh({"run": "yes"})}
    for cause in CAUSES:
        by_hand = cause.prior * question.likely[cause.key][index] / total
        assert found[cause.key] == pytest.approx(
            by_hand, rel=0.02, abs=0.001
        )  # the floor shifts them a little


@pytest.mark.parametrize(
    ("answers", "cause"),
    [
        ({"fades": "it fades within minutes"}, "afterglow"),
        ({"switch": "switch with an indicator", "indicator_out": "gone"}, "indicator"),
        ({"switch": "timer, sensor or smart switch"}, "control"),
        ({"switch": "dimmer", "light_load": "yes"}, "dimmer"),
        ({"switch": "plain one-way switch", "line_at_lamp": "full voltage"}, "switched_neutral"),
        ({"insulation": "below 2 MΩ", "switch": "plain one-way switch"}, "leakage"),
        (
            {"neutral_current": "not the same, or an RCD trips", "neighbour": "yes"},
            "borrowed_neutral",
        ),
        ({"switch": "two-way or intermediate", "run": "yes", "two_meters": "it collapses"}, "coupling"),
    ],
)
def test_telling_answers_point_to_their_cause(answers: dict[str, str], cause: str) -> None:
    # Common practice, no source: these are the signs the trade goes by.
    assert weigh(answers)[0].cause.key == cause


@pytest.mark.parametrize("cause", [cause.key for cause in CAUSES if cause.key != "other"])
def test_asking_on_finds_each_cause_in_a_short_sequence(cause: str) -> None:
    answers = _asked_through(cause)
    best = weigh(answers)[0]
    assert best.cause.key == cause
    assert 0.8 < best.weight < 1
    assert len(answers) <= 9


def test_the_first_question_touches_nothing() -> None:
    first = next_question({})
    assert first is not None
    assert first.question.caution == ""


def test_the_expected_information_is_entropy_less_mean_entropy_after() -> None:
    def bits(weights: list[float]) -> float:
        return -sum(w * math.log2(w) for w in weights)

    prior = {cause.key: cause.prior for cause in CAUSES}
    total = sum(prior.values())
    prior = {key: value / total for key, value in prior.items()}
    found = next_question({})
    assert found is not None
    after = 0.0
    for index in range(len(found.question.answers)):
        joint = {key: weight * found.question.likely[key][index] for key, weight in prior.items()}
        chance = sum(joint.values())
        after += chance * bits([value / chance for value in joint.values()])
    # 2 %: weights below the floor of half a percent are lifted to it.
    assert found.gain_bits == pytest.approx(bits(list(prior.values())) - after, rel=0.02)


def test_no_question_is_asked_twice_or_when_it_cannot_be_answered() -> None:
    first = next_question({})
    assert first is not None
    key = first.question.key
    second = next_question({key: first.question.answers[0]})
    skipped = next_question({}, skip=[key])
    assert second is not None
    assert skipped is not None
    assert key not in (second.question.key, skipped.question.key)
    assert next_question({}, skip=[question.key for question in QUESTIONS]) is None


def test_an_answer_names_what_it_all_but_rules_out() -> None:
    fades = next(each for each in QUESTIONS if each.key == "fades")
    ruled = {cause.key for cause in fades.speaks_against("it fades within minutes")}
    assert "coupling" in ruled
    assert "afterglow" not in ruled


def test_the_texts_name_no_two_causes_alike_and_say_what_to_do_next() -> None:
    for one, other in product(CAUSES, CAUSES):
        assert one.key == other.key or one.name != other.name
    assert all(cause.meaning and cause.next_step for cause in CAUSES)


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ({"colour": "blue"}, "Known questions"),
        ({"fades": "perhaps"}, "Choose one of: it fades within minutes"),
    ],
)
def test_an_unknown_question_or_answer_is_refused_with_those_there_are(
    answers: dict[str, str], says: str
) -> None:
    with pytest.raises(InputError) as raised:
        weigh(answers)
    assert says in str(raised.value)
