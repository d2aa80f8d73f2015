"""What a page weighs: bytes over the wire, and queries. Seconds are measured by ``make bench`` alone."""

import gzip
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles.finders import find
from django.test import Client as Browser
from django.urls import reverse

from tests.factories import BoardFactory, CircuitFactory, InspectionFactory, MemberFactory

CIRCUITS = 60


def weight(content: bytes) -> int:
    """Bytes as they are sent, compressed."""
    return len(gzip.compress(content))


def files_of(page):
    """The style sheets and scripts that a page loads, with those that they import."""
    loaded = re.findall(r'<(?:link rel="stylesheet" href|script[^>]* src)="/static/([^"]+)"', page)
    paths = [Path(find(name)) for name in loaded]
    imported = [
        (path.parent / name).resolve()
        for path in paths
        for name in re.findall(r'@import url\("([^"]+)"\)', path.read_text(encoding="utf-8"))
    ]
    # Bootstrap's own lies in its package, under the address that the style sheet means.
    return paths + [Path(find(str(path).partition("/static/")[2])) for path in imported]


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["account_login", "today"])
def test_a_first_page_with_all_it_needs_is_under_100_kb(name):
    browser = Browser()
    member = MemberFactory()
    if name != "account_login":
        browser.force_login(member)
    page = browser.get(reverse(name)).content
    files = files_of(page.decode())
    assert "bootstrap.min.css" in {path.name for path in files}
    assert weight(page) + sum(weight(path.read_bytes()) for path in files) < 100_000


@pytest.fixture
def grid():
    """``grid(circuits)``: the page of a board of so many, and how it was asked for."""

    def page(circuits):
        inspection = InspectionFactory()
        board = BoardFactory(installation=inspection.installation)
        for way in range(1, circuits + 1):
            CircuitFactory(board=board, way=str(way), description=f"Sockets, room {way}")
        browser = Browser()
        browser.force_login(inspection.inspector)
        return lambda: browser.get(reverse("results_grid", args=[inspection.pk, board.pk])).content

    return page


@pytest.mark.django_db
def test_the_grid_of_60_circuits_is_under_200_kb_and_20_compressed(grid):
    page = grid(CIRCUITS)()
    assert page.count(b"data-row=") == CIRCUITS
    assert len(page) < 200_000
    assert weight(page) < 20_000


@pytest.mark.django_db
@pytest.mark.parametrize("circuits", [1, 12])
def test_the_grid_asks_the_same_of_the_database_however_many_circuits(
    grid, circuits, django_assert_max_num_queries
):
    page = grid(circuits)
    with django_assert_max_num_queries(20):
        page()


@pytest.mark.django_db
def test_a_page_is_sent_compressed_to_whoever_takes_it(client):
    MemberFactory()
    answer = client.get(reverse("account_login"), headers={"accept-encoding": "gzip"})
    assert answer["Content-Encoding"] == "gzip"
