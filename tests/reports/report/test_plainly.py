"""What the report says to whoever is not an electrician."""

import pytest

from reports.report.plainly import outcome_means, outcome_word


def content(satisfactory, issued):
    return {"issue": {"number": 1} if issued else None, "outcome": {"satisfactory": satisfactory}}


@pytest.mark.parametrize(
    ("satisfactory", "issued", "word"),
    [
        (True, True, "Satisfactory"),
        (False, True, "Unsatisfactory"),
        (False, False, "Unsatisfactory, so far"),
        (True, False, "No outcome yet"),
        (None, True, "No outcome by rule"),
    ],
)
def test_outcome_in_a_word(satisfactory, issued, word):
    assert outcome_word(content(satisfactory, issued)) == word


def test_a_draft_never_tells_a_client_that_nothing_was_found():
    assert "Nothing was found" in outcome_means(content(True, issued=True))
    assert "only an issued report says" in outcome_means(content(True, issued=False))
