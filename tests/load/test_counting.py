"""What the load counts as lost, and what it says of the answers."""

import pytest

from tests.load.__main__ import lost_updates, report
from tests.load.people import Inspector, Office, Save


@pytest.fixture
def inspector():
    return Inspector(port=0, cookies="", number=1, saves=[Save(circuit=7, text="1 typed 1", seen=3)])


@pytest.mark.parametrize(
    ("history", "lost"),
    [
        ({(7, "1 typed 1"): 4}, 0),
        ({}, 1),  # answered as kept, and nowhere
        ({(7, "1 typed 1"): 5}, 1),  # over a version that its writer never saw
        ({(8, "1 typed 1"): 4}, 1),  # in another row
    ],
)
def test_a_save_is_lost_where_it_does_not_follow_what_its_writer_saw(inspector, history, lost):
    assert len(lost_updates([inspector, Office(port=0, cookies="", number=2)], history)) == lost


def test_the_report_names_the_percentiles_of_each_kind_of_answer(inspector):
    inspector.took = [("a row saved", n / 1000) for n in range(1, 102)]
    inspector.errors = ["500 to POST /"]
    said = "\n".join(report([inspector], 10, []))
    assert "a row saved: 101, 10.1 a second, p50 51 p95 96 p99 100 ms" in said
    assert "lost updates 0, errors 1" in said
    assert "500 to POST /" in said
