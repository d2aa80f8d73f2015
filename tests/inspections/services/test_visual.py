"""Recording visual outcomes: a whole page at once, honest about what was not answered."""

import pytest
from django.core.exceptions import ValidationError

from inspections.enums import InspectionStatus, Outcome
from inspections.models import VisualOutcome
from inspections.progress import visual_progress
from inspections.rules import visual
from inspections.services.visual import (
    LIM_SAYS_WHY,
    NOT_KNOWN,
    REMARK_ALONE,
    Answer,
    TypedAnswer,
    record_visual_outcomes,
)
from tests.factories import InspectionFactory, VisualOutcomeFactory

pytestmark = pytest.mark.django_db

BOARDS = next(area for area in visual.areas() if area.key == "boards")
FIRST, SECOND, *OTHERS = (item.key for item in BOARDS.items)


@pytest.fixture
def inspection():
    return InspectionFactory()


@pytest.fixture
def record(inspection):
    def answers(*typed, **more):
        return record_visual_outcomes(inspection=inspection, typed=typed, member=inspection.inspector, **more)

    return answers


def typed(item, outcome="", remark="", seen=("", "")):
    return TypedAnswer(item, Answer(outcome, remark), Answer(*seen))


def kept(inspection):
    return {row.item: (row.outcome, row.remark) for row in inspection.visual_outcomes.all()}


def test_answers_are_kept_and_the_rest_stays_unanswered(inspection, record):
    recorded = record(typed(FIRST, "✓"), typed(SECOND, "C2", "A finger passes"), typed(OTHERS[0]))

    assert (recorded.saved, recorded.refused) == (2, {})
    assert kept(inspection) == {FIRST: ("✓", ""), SECOND: ("C2", "A finger passes")}
    assert str(visual_progress(inspection)).startswith("2 of ")


def test_a_changed_answer_keeps_who_changed_it_and_what_stood_before(inspection, record):
    record(typed(FIRST, "✓"))
    record(typed(FIRST, "C3", seen=("✓", "")))

    changed, made = VisualOutcome.objects.get().history.all()
    assert (made.history_type, made.outcome, changed.history_type, changed.outcome) == ("+", "✓", "~", "C3")
    assert {made.history_user, changed.history_user} == {inspection.inspector}


def test_an_answer_taken_back_is_unanswered_again_and_its_history_stays(inspection, record):
    record(typed(FIRST, "✓"))
    record(typed(FIRST, "", seen=("✓", "")))

    assert kept(inspection) == {}
    gone = VisualOutcome.history.latest()
    assert (gone.history_type, gone.outcome, gone.history_user) == ("-", "✓", inspection.inspector)


def test_page_sent_again_unchanged_writes_nothing(inspection, record):
    record(typed(FIRST, "✓"))

    assert record(typed(FIRST, "✓", seen=("✓", ""))).saved == 0
    assert VisualOutcome.history.count() == 1


def test_all_not_yet_answered_of_an_area_are_satisfactory_and_no_answer_is_overwritten(inspection, record):
    VisualOutcomeFactory(inspection=inspection, item=FIRST, outcome=Outcome.C2)
    page = [typed(FIRST, "C2", seen=("C2", "")), typed(SECOND, "LIM", "Locked"), typed(OTHERS[0])]

    record(*page, satisfactory_area="boards")

    answered = kept(inspection)
    assert answered.pop(FIRST) == ("C2", "")
    assert answered.pop(SECOND) == ("LIM", "Locked")
    assert answered == dict.fromkeys(OTHERS, ("✓", ""))


def test_filling_an_area_leaves_an_answer_that_another_person_took_back(inspection, record):
    record(typed(FIRST, "C1", seen=("C1", "")), satisfactory_area="boards")

    assert FIRST not in kept(inspection)


def test_answer_that_another_person_gave_meanwhile_stands_and_is_said(inspection, record):
    VisualOutcomeFactory(inspection=inspection, item=FIRST, outcome=Outcome.C2, remark="Burnt")

    recorded = record(typed(FIRST, "✓"), typed(SECOND, "✓"))

    assert kept(inspection) == {FIRST: ("C2", "Burnt"), SECOND: ("✓", "")}
    assert "“C2 Burnt”" in recorded.refused[FIRST]


@pytest.mark.parametrize(
    ("outcome", "remark", "message"),
    [("OK", "", NOT_KNOWN), ("LIM", "", LIM_SAYS_WHY), ("", "Loose", REMARK_ALONE)],
)
def test_what_is_not_understood_is_said_and_the_rest_is_kept(inspection, record, outcome, remark, message):
    recorded = record(typed(FIRST, outcome, remark), typed(SECOND, "✓"))

    assert recorded.refused == {FIRST: message}
    assert kept(inspection) == {SECOND: ("✓", "")}


def test_remark_longer_than_its_field_is_refused(inspection, record):
    assert list(record(typed(FIRST, "C3", "x" * 301)).refused) == [FIRST]
    assert kept(inspection) == {}


def test_item_that_is_not_listed_is_left_out(inspection, record):
    record(typed("no-such-item", "✓"))

    assert kept(inspection) == {}


@pytest.mark.parametrize("status", [InspectionStatus.IN_REVIEW, InspectionStatus.ISSUED])
def test_inspection_that_is_no_draft_is_refused(inspection, record, status):
    type(inspection).objects.filter(pk=inspection.pk).update(status=status)

    with pytest.raises(ValidationError, match="no longer changes"):
        record(typed(FIRST, "✓"))
    assert kept(inspection) == {}


@pytest.mark.parametrize("count", [1, 10])
def test_queries_do_not_grow_with_the_answers(record, count, django_assert_num_queries):
    items = [item.key for item in BOARDS.items][:count]

    with django_assert_num_queries(6):  # savepoint and its end among them
        record(*(typed(item, "✓") for item in items))
