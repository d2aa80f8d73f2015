"""The main pages look as they did when they were last looked at."""

import pytest

from reports.report.draw import draw_report
from tests.reports.report.contents import photos, record
from tests.reports.report.golden import FOLDER, differ_by, drawn, kept, picture

MOST = 40  # of 255, a block; the same page by two versions of the program stays below half of it


@pytest.fixture(scope="module")
def program(needed_program):
    return needed_program("pdftoppm")


def test_main_pages_look_as_they_did(program):
    far = {name: differ_by(picture(pdf, page, program), kept(name)) for name, pdf, page in drawn()}
    assert far
    assert {name: by for name, by in far.items() if by > MOST} == {}, (
        "Look at the pages. If the change is meant: python -m tests.reports.report.make_golden"
    )


@pytest.mark.parametrize(
    "change",
    [
        lambda c: c["outcome"].update(satisfactory=True),
        lambda c: c["limitations"].pop(0),
        lambda c: c["inspection"].update(extent="Everything."),
        lambda c: c["observations"][1].update(
            put_right={"on": "2026-11-04", "by": "R. Askew", "evidence": ""}
        ),
    ],
)
def test_page_that_says_something_else_does_not_pass(change, program):
    content = record()
    change(content)
    assert differ_by(picture(draw_report(content, photos()), 1, program), kept("house-front")) > MOST


def test_pictures_are_small():
    assert 0 < sum(path.stat().st_size for path in FOLDER.glob("*.png")) <= 150_000
