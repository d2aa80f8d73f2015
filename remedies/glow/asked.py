"""The questions of the worksheet, and what the answers say of each cause."""

from collections.abc import Mapping
from dataclasses import dataclass

from remedies.glow.inputs import Inputs
from remedies.physics import cause as causes

_WORDS = ((0.8, "very likely"), (0.5, "likely"), (0.2, "possible"), (0.05, "unlikely"), (0.0, "hardly"))
_QUESTIONS = {question.key: question for question in causes.QUESTIONS}
QUESTION_KEYS = tuple(_QUESTIONS)


@dataclass(frozen=True)
class Belief:
    """How far the answers speak for one cause. percent: from 1 to 99, never certain."""

    key: str
    name: str
    words: str
    percent: int
    dangerous: bool
    meaning: str
    next_step: str


@dataclass(frozen=True)
class Asked:
    """A question with all its answers; ``against`` pairs an answer with the causes it speaks against."""

    key: str
    text: str
    why: str
    caution: str
    answers: tuple[str, ...]
    answer: str
    against: tuple[tuple[str, tuple[str, ...]], ...]


def beliefs(answers: Mapping[str, str]) -> tuple[Belief, ...]:
    """The causes, likeliest first, as far as the answers go."""
    return tuple(
        Belief(
            key=each.cause.key,
            name=each.cause.name,
            words=next(word for least, word in _WORDS if each.weight >= least),
            percent=min(max(round(each.weight * 100), 1), 99),
            dangerous=each.cause.dangerous,
            meaning=each.cause.meaning,
            next_step=each.cause.next_step,
        )
        for each in causes.weigh(answers)
    )


def answers_of(key: str) -> tuple[str, ...]:
    """The answers that a question may have; none for a key that is no question."""
    return _QUESTIONS[key].answers if key in _QUESTIONS else ()


def asked(given: Inputs) -> tuple[Asked, ...]:
    """The questions answered, then those skipped."""
    answered = tuple(_asked(_QUESTIONS[key], answer) for key, answer in given.answers.items())
    return answered + tuple(_asked(_QUESTIONS[key], "") for key in given.skipped)


def next_question(given: Inputs) -> Asked | None:
    """What is best asked next; nothing once no question would tell more."""
    following = causes.next_question(given.answers, given.skipped)
    return _asked(following.question, "") if following else None


def _asked(question: causes.Question, answer: str) -> Asked:
    return Asked(
        key=question.key,
        text=question.text,
        why=question.why,
        caution=question.caution,
        answers=question.answers,
        answer=answer,
        against=tuple(
            (one, tuple(found.name for found in question.speaks_against(one)))
            for one in ((answer,) if answer else question.answers)
        ),
    )
