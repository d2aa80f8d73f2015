"""The explanations of the trade's terms."""

import pytest

from inspections.columns import BY_NAME, READINGS
from inspections.models import BoardResult, Circuit, Inspection
from inspections.terms import all_terms, term_of


def test_every_reading_of_the_schedule_is_explained():
    assert [column.name for column in READINGS if term_of(column.name) is None] == []


def test_no_field_is_explained_twice_and_each_is_there():
    fields = [name for term in all_terms().values() for name in term.fields]
    known = set(BY_NAME) | {
        field.name for model in (Circuit, Inspection, BoardResult) for field in model._meta.get_fields()
    }
    assert len(set(fields)) == len(fields)
    assert set(fields) - known <= {"earthing", "surge_protection"}  # of the installation, of a board


@pytest.mark.parametrize("term", list(all_terms().values()), ids=lambda term: term.key)
def test_a_term_is_short_and_names_where_it_is_dealt_with(term):
    assert len(term.says.split()) <= 50
    assert term.says.endswith(".")
    assert term.source
