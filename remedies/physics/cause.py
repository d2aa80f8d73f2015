"""Why a lamp glows when off: the causes weighed by the answers so far, and the question that tells most next.

Each cause starts with a weight; an answer multiplies it by how often that cause would give the answer (Bayes'
rule, answers taken as independent for a given cause). The next question is the one expected to take away most
uncertainty, in bits; one that touches conductors must tell twice as much to be asked first. The weights are
judgements with their basis stated; none ever reaches 0 or 1.
"""

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from remedies.physics.checked import InputError

_DATA = tomllib.loads((Path(__file__).parent / "data" / "cause.toml").read_text("utf-8"))
BASIS: str = _DATA["basis"]
_LEAST_WEIGHT = 0.005  # no cause is ever ruled out altogether
_WORTH_ASKING_BITS = 0.04
_SHARE_WITH_CAUTION = 0.5


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause: its key, its name, what happens, and what to do next when it is the likely one.

    ``dangerous``: a fault to be excluded before any remedy for the glow, however light its weight.
    """

    key: str
    name: str
    meaning: str
    next_step: str
    prior: float
    dangerous: bool


@dataclass(frozen=True, slots=True)
class Question:
    """A question or measurement: why it is asked, its caution where conductors are touched, and its answers.

    ``likely`` gives, for each cause's key, how likely each answer is, in the order of ``answers``.
    """

    key: str
    text: str
    why: str
    caution: str
    answers: tuple[str, ...]
    likely: Mapping[str, tuple[float, ...]]

    def speaks_against(self, answer: str) -> tuple[Cause, ...]:
        """The causes that would rarely give this answer: what it all but rules out."""
        index = self._index(answer)
        return tuple(cause for cause in CAUSES if self.likely[cause.key][index] <= 0.05)

    def _index(self, answer: str) -> int:
        if answer not in self.answers:
            message = f"“{answer}” is none of its answers. Choose one of: {', '.join(self.answers)}."
            raise InputError(self.text, message)
        return self.answers.index(answer)


@dataclass(frozen=True, slots=True)
class Weight:
    """How far the answers so far speak for one cause, from above 0 to below 1; all weights add up to 1."""

    cause: Cause
    weight: float


@dataclass(frozen=True, slots=True)
class NextQuestion:
    """The question to ask next, and the uncertainty it is expected to take away, in bits."""

    question: Question
    gain_bits: float


CAUSES: tuple[Cause, ...] = tuple(
    Cause(
        key, entry["name"], entry["meaning"], entry["next"], float(entry["prior"]), key in _DATA["dangerous"]
    )
    for key, entry in _DATA["cause"].items()
)
QUESTIONS: tuple[Question, ...] = tuple(
    Question(
        key,
        entry["text"],
        entry["why"],
        entry.get("caution", ""),
        tuple(entry["answers"]),
        {cause: tuple(share / sum(shares) for share in shares) for cause, shares in entry["likely"].items()},
    )
    for key, entry in _DATA["question"].items()
)
_BY_KEY = {question.key: question for question in QUESTIONS}


def weigh(answers: Mapping[str, str]) -> tuple[Weight, ...]:
    """The causes by weight, largest first, after these answers (question key to answer text).

    >>> weigh({})[0].cause.name
    'voltage coupled from a neighbouring live conductor'
    >>> weigh({"fades": "it fades within minutes"})[0].cause.key
    'afterglow'
    """
    weights = _weights(answers)
    found = [Weight(cause, weights[cause.key]) for cause in CAUSES]
    return tuple(sorted(found, key=lambda each: -each.weight))


def next_question(answers: Mapping[str, str], skip: Sequence[str] = ()) -> NextQuestion | None:
    """The unasked question to ask next; None when no question left is expected to tell anything.

    skip: keys of questions that cannot be answered here.

    >>> next_question({}).question.key
    'switch'
    """
    weights = _weights(answers)
    left = [question for question in QUESTIONS if question.key not in answers and question.key not in skip]
    ranked = [NextQuestion(question, _expected_gain(question, weights)) for question in left]
    best = max(ranked, key=_preference, default=None)
    return best if best and best.gain_bits >= _WORTH_ASKING_BITS else None


def _preference(each: NextQuestion) -> float:
    return each.gain_bits * (_SHARE_WITH_CAUTION if each.question.caution else 1.0)


def _weights(answers: Mapping[str, str]) -> dict[str, float]:
    weights = _normalised({cause.key: cause.prior for cause in CAUSES})
    for key, answer in answers.items():
        if key not in _BY_KEY:
            raise InputError("question", f"“{key}” is not asked. Known questions: {', '.join(_BY_KEY)}.")
        question = _BY_KEY[key]
        weights = _after(weights, question, question._index(answer))
    return _normalised({key: max(weight, _LEAST_WEIGHT) for key, weight in weights.items()})


def _after(weights: Mapping[str, float], question: Question, index: int) -> dict[str, float]:
    return _normalised({key: weight * question.likely[key][index] for key, weight in weights.items()})


def _normalised(weights: Mapping[str, float]) -> dict[str, float]:
    total = sum(weights.values())
    return {key: weight / total for key, weight in weights.items()}


def _bits(weights: Mapping[str, float]) -> float:
    return -sum(weight * math.log2(weight) for weight in weights.values() if weight > 0)


def _expected_gain(question: Question, weights: Mapping[str, float]) -> float:
    """Uncertainty now less the uncertainty after, averaged over the answers as likely as they are now."""
    after = 0.0
    for index in range(len(question.answers)):
        chance = sum(weight * question.likely[key][index] for key, weight in weights.items())
        if chance > 0:
            after += chance * _bits(_after(weights, question, index))
    return _bits(weights) - after
