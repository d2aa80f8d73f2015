"""A signature drawn on the page: read with limits, frozen with the record, drawn on paper from it alone."""

import copy
import json

import jsonschema
import pytest
from django.core.exceptions import ValidationError
from django.test import Client as Browser
from django.urls import reverse

from reports.content import content_of, schema
from reports.models import IssuedRecord
from reports.report.draw import draw_report
from reports.services.issue import issue_inspection
from reports.services.review import return_with_remarks, send_for_review
from reports.signature import HEIGHT, MOST_POINTS, MOST_STROKES, WIDTH, Signature, read_signature
from tests.reports.ready import in_review, issued, ready_visit, supervisor_of
from tests.reports.report.contents import record

in_database = pytest.mark.django_db

STROKES = ((10, 20, 40, 60), (50, 50))


@in_database
def test_signature_drawn_at_the_issue_is_frozen_with_the_record():
    inspection = in_review()
    record = issue_inspection(
        inspection=inspection, member=supervisor_of(inspection), signature=Signature(STROKES)
    )
    drawn = record.read()["issue"]["signature"]
    assert drawn == {"width": 600, "height": 200, "strokes": [[10, 20, 40, 60], [50, 50]]}


@in_database
def test_name_stands_typed_where_nobody_drew_a_signature():
    content = issued().read()
    assert "signature" not in content["issue"]
    assert "signature" not in content["inspection"]


@in_database
def test_inspectors_signature_stands_for_what_was_sent_last_and_by_the_inspector_alone():
    inspection = ready_visit()
    send_for_review(inspection=inspection, member=inspection.inspector, signature=Signature(STROKES))
    assert content_of(inspection)["inspection"]["signature"]["strokes"][1] == [50, 50]

    return_with_remarks(inspection=inspection, remarks="Again", member=supervisor_of(inspection))
    send_for_review(inspection=inspection, member=inspection.inspector)
    assert "signature" not in content_of(inspection)["inspection"]

    return_with_remarks(inspection=inspection, remarks="Again", member=supervisor_of(inspection))
    send_for_review(inspection=inspection, member=supervisor_of(inspection), signature=Signature(STROKES))
    assert "signature" not in content_of(inspection)["inspection"]


@pytest.mark.parametrize(
    "text",
    [
        "{}",
        "[1, 2]",
        "[[]]",
        "[[1, 2, 3]]",
        "[[1.5, 2]]",
        "[[true, 2]]",
        f"[[{WIDTH + 1}, 1]]",
        f"[[1, {HEIGHT + 1}]]",
        "[[-1, 1]]",
        "[" * 20_000,
        "not JSON",
        json.dumps([[1, 1]] * (MOST_STROKES + 1)),
        json.dumps([[1, 1] * (MOST_POINTS + 1)]),
    ],
)
def test_what_is_no_signature_is_refused(text):
    with pytest.raises(ValidationError, match="Clear it and sign again"):
        read_signature(text)


def test_the_most_that_is_read_is_allowed_by_the_published_schema():
    most = [[WIDTH, HEIGHT] * (MOST_POINTS - MOST_STROKES + 1), *[[0, 0]] * (MOST_STROKES - 1)]
    drawn = read_signature(json.dumps(most)).as_content()
    validator = jsonschema.Draft202012Validator({"$ref": "#/$defs/signature", "$defs": schema()["$defs"]})
    assert list(validator.iter_errors(drawn)) == []
    assert len(list(validator.iter_errors(drawn | {"strokes": []}))) == 1


def strokes_on(pdf: bytes):
    """The curves drawn on the pages, in points from the upper left corner of each."""
    import io

    import pdfplumber

    with pdfplumber.open(io.BytesIO(pdf)) as book:
        return [curve["pts"] for page in book.pages for curve in page.curves]


def test_signature_is_drawn_on_paper_as_it_was_drawn_on_the_page_and_the_same_each_time():
    content = copy.deepcopy(record())
    before = strokes_on(draw_report(content))
    zigzag = Signature(((0, 0, 300, 200, 600, 0),))
    content["issue"]["signature"] = zigzag.as_content()

    pdf = draw_report(content)

    assert draw_report(content) == pdf
    (points,) = [curve for curve in strokes_on(pdf) if curve not in before]
    (left, top), (middle, bottom), (right, _) = points
    assert (right - left) / (bottom - top) == pytest.approx(WIDTH / HEIGHT, rel=1e-3)
    assert middle - left == pytest.approx((right - left) / 2, rel=1e-3)


@in_database
def test_signed_on_the_page_it_is_issued_with_the_signature():
    inspection = in_review()
    browser = Browser()
    browser.force_login(supervisor_of(inspection))

    refused = browser.post(reverse("review", args=[inspection.pk]), {"do": "issue", "signature": "[[1]]"})
    assert "Clear it and sign again" in refused.content.decode()
    browser.post(reverse("review", args=[inspection.pk]), {"do": "issue", "signature": "[[1, 2, 3, 4]]"})

    assert IssuedRecord.objects.get().read()["issue"]["signature"]["strokes"] == [[1, 2, 3, 4]]
