"""The results grid: what a browser posts, also what a device sends that was without a connection."""

import re

import pytest
from django.test import Client as Browser
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from inspections.columns import RESULTS
from inspections.models import CircuitResult
from inspections.rules.readings import Reading, ReadingError
from tests.factories import BoardFactory, CircuitFactory, InspectionFactory
from tests.fuzz.wild import examples, is_answer, nothing_stays, outcome_of, texts

pytestmark = pytest.mark.django_db
NAMES = [column.name for column in RESULTS]
ENDINGS = [*NAMES, "version", *(f"{name}.seen" for name in NAMES), "nothing", ""]


@pytest.fixture
def inspection():
    return InspectionFactory()


@pytest.fixture
def circuits(inspection):
    board = BoardFactory(installation=inspection.installation)
    return [CircuitFactory(board=board), CircuitFactory(board=board)]


@pytest.fixture
def browser(inspection):
    browser = Browser()
    browser.force_login(inspection.inspector)
    return browser


@examples(30)
@given(data=st.data())
def test_whatever_is_posted_is_answered_and_a_sound_cell_beside_it_is_kept(
    data, browser, inspection, circuits
):
    own = [str(circuit.pk) for circuit in circuits]
    cells = st.tuples(st.one_of(st.sampled_from(own), texts), st.sampled_from(ENDINGS)).map(".".join)
    posted = data.draw(st.dictionaries(cells, texts, max_size=8))
    sound = f"{own[0]}.zs"
    posted = {name: text for name, text in posted.items() if not name.startswith(f"{own[0]}.")} | {
        sound: "0.35"
    }
    where = reverse("results_grid", args=[inspection.pk, circuits[0].board_id])
    fragment = data.draw(st.sampled_from([{}, {"X-Fragment": "rows"}]))
    with nothing_stays():
        answer = browser.post(where, posted, headers=fragment)
        assert is_answer(answer)
        if answer.status_code != 400:
            assert str(CircuitResult.objects.get(circuit=circuits[0]).zs) == "0.35"


@examples(300)
@given(texts)
def test_a_reading_is_read_or_refused_with_what_to_type(text):
    for parse in (Reading.parse, Reading.parse_tick):
        reading = outcome_of(lambda parse=parse: parse(text), ReadingError)
        if isinstance(reading, Reading):
            assert parse(reading.text) == reading
        else:
            assert re.search("type|is zero or more|more digits", reading, re.IGNORECASE)
