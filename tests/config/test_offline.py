"""The service worker, and which pages a browser may keep."""

import io
import json
import re
from types import SimpleNamespace

import pytest
from django.test import Client as Browser
from django.urls import reverse

from config import offline
from tests.factories import BoardFactory, CircuitFactory, InspectionFactory

pytestmark = pytest.mark.django_db
NAMED_IN_A_PAGE = re.compile(r'(?:src|href)="/static/([^"]+)"')


@pytest.fixture
def inspection():
    return InspectionFactory()


@pytest.fixture
def signed_in(inspection):
    browser = Browser()
    browser.force_login(inspection.inspector)
    return browser


@pytest.fixture
def board(inspection):
    board = BoardFactory(installation=inspection.installation)
    CircuitFactory(board=board)
    return board


@pytest.fixture
def kept(signed_in, inspection, board):
    """The two pages that are kept."""
    return [
        signed_in.get(reverse("results_grid", args=[inspection.pk, board.pk])),
        signed_in.get(reverse("before_you_test", args=[board.pk])),
    ]


def files_of(script):
    return set(json.loads(re.search(r"const FILES = (.*);", script)[1]))


def test_a_page_that_is_kept_names_whom_it_is_for_and_no_other_page_is(kept, signed_in, inspection, board):
    others = [
        signed_in.get(reverse("today")),
        signed_in.get(reverse("board", args=[board.pk])),
        Browser().get(reverse("before_you_test", args=[board.pk])),
        signed_in.post(reverse("results_grid", args=[inspection.pk, board.pk])),
    ]
    assert [page.headers.get("X-Kept-For") for page in kept] == [str(inspection.inspector.pk)] * 2
    assert [page.headers.get("X-Kept-For") for page in others] == [None] * 4


def test_the_worker_holds_the_whole_site_and_is_asked_for_anew_each_time():
    response = Browser().get("/service-worker.js")
    assert response["Content-Type"] == "text/javascript"
    assert response["Cache-Control"] == "no-cache"
    assert "script-src 'self'" in response["Content-Security-Policy"]


def test_the_worker_is_another_as_soon_as_a_file_is(monkeypatch):
    def worker_with(content):
        finder = SimpleNamespace(list=lambda _: [("inspections/grid.js", storage_of(content))])
        monkeypatch.setattr(offline, "get_finders", lambda: [finder])
        return offline._script.__wrapped__()

    def storage_of(content):
        return SimpleNamespace(open=lambda _: io.BytesIO(content))

    assert worker_with(b"one") == worker_with(b"one") != worker_with(b"another")


def test_every_file_that_a_kept_page_needs_is_kept(kept):
    files = files_of(Browser().get("/service-worker.js").text)
    pages = [*kept, Browser().get(reverse("at_hand"))]
    needed = {path for page in pages for path in NAMED_IN_A_PAGE.findall(page.text)}
    assert {"inspections/grid.js", "stillacross/css/theme.css"} <= needed
    assert {path for path in needed if f"/static/{path}" not in files} == set()


def test_the_page_of_what_is_at_hand_names_nobody(signed_in, inspection):
    assert inspection.inspector.name in signed_in.get(reverse("at_hand")).text
    assert 'data-member=""' in Browser().get(reverse("at_hand")).text
