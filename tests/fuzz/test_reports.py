"""A report of another firm: its PDF damaged, or its record changed by someone who makes the hash fit."""

import json
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.content import canonical_json
from reports.intake.bring_in import bring_in_record, keep_upload, preview_record
from reports.intake.read import RecordIntakeError, read_record
from reports.report.draw import draw_report
from tests.factories import MemberFactory
from tests.fuzz.wild import damaged, examples, nothing_stays, outcome_of, texts
from tests.reports.intake.files import attached
from tests.reports.report.contents import photos, record

pytestmark = pytest.mark.django_db


@cache
def report() -> bytes:
    return draw_report(record(), photos())


@examples(2)
@given(data=st.data())
def test_a_damaged_report_is_read_or_refused_with_words(data):
    read = outcome_of(lambda: read_record(data.draw(damaged(report()))), RecordIntakeError)
    assert read if isinstance(read, str) else read.content == record()


def leaves(value, path=()):
    """The way to each single value of the record."""
    if isinstance(value, dict | list):
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            yield from leaves(inner, (*path, key))
    else:
        yield path


LEAVES = list(leaves(record()))
values = st.one_of(texts, st.none(), st.booleans(), st.integers(), st.lists(texts, max_size=2))


@examples(3)
@given(changes=st.lists(st.tuples(st.sampled_from(LEAVES), values), min_size=1, max_size=3))
def test_a_record_changed_with_its_hash_is_brought_in_or_refused_with_words(changes):
    content = json.loads(json.dumps(record()))
    for path, value in changes:
        inner = content
        for key in path[:-1]:
            inner = inner[key]
        inner[path[-1]] = value
    with nothing_stays():
        pdf = attached(canonical_json(content))
        member = MemberFactory()
        where = {"client": "Larkfield Mill Estates", "installation": "Brought in", "member": member}

        def all_of_it():
            upload = keep_upload(name="report.pdf", pdf=pdf, member=member)
            preview_record(upload=upload, **where)
            return bring_in_record(upload=upload, **where)

        assert outcome_of(all_of_it, RecordIntakeError)
