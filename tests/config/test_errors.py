"""A database that is full, read-only or gone: a page that says what to do, and nothing is half saved."""

from contextlib import contextmanager

import pytest
from django.db import OperationalError, ProgrammingError, connection
from django.test import Client as Browser
from django.urls import reverse

from config.errors import is_unavailable
from inspections.models import CircuitResult
from tests.factories import BoardFactory, CircuitFactory, InspectionFactory

pytestmark = pytest.mark.django_db(transaction=True)


def run(*statements):
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


@contextmanager
def read_only():
    on, off = (
        ("PRAGMA query_only = ON", "PRAGMA query_only = OFF")
        if connection.vendor == "sqlite"
        else ("SET default_transaction_read_only = on", "SET default_transaction_read_only = off")
    )
    run(on)
    try:
        yield
    finally:
        run(off)


@contextmanager
def full():
    """No page more than the database has. PostgreSQL's own full disk comes the same way as the one gone."""
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL has no such limit to set")
    run("VACUUM")  # nor a free one among them
    with connection.cursor() as cursor:
        (most,) = cursor.execute("PRAGMA max_page_count").fetchone()
        (now,) = cursor.execute("PRAGMA page_count").fetchone()
    run(f"PRAGMA max_page_count = {now}")
    try:
        yield
    finally:
        run(f"PRAGMA max_page_count = {most}")


@contextmanager
def gone():
    def fail(*_):
        raise OperationalError("the connection was closed unexpectedly")

    with connection.execute_wrapper(fail):
        yield


@pytest.fixture
def inspection():
    return InspectionFactory()


@pytest.fixture
def circuits(inspection):
    board = BoardFactory(installation=inspection.installation)
    return [CircuitFactory(board=board) for _ in range(20)]


@pytest.mark.parametrize("trouble", [read_only, full, gone])
def test_nothing_is_saved_and_the_page_says_what_to_do_until_it_can_be_saved(trouble, inspection, circuits):
    browser = Browser(raise_request_exception=False)
    browser.force_login(inspection.inspector)
    address = reverse("results_grid", args=[inspection.pk, circuits[0].board_id])
    typed = {f"{circuit.pk}.remarks": "long " * 40 for circuit in circuits}

    with trouble():
        response = browser.post(address, typed)

    assert (response.status_code, response["Retry-After"]) == (503, "10")
    assert "send it again" in response.text
    assert "Content-Security-Policy" in response
    assert not CircuitResult.objects.exists()
    assert browser.post(address, typed).status_code == 302
    assert CircuitResult.objects.count() == len(circuits)


def test_a_fault_of_ours_is_called_one(inspection, monkeypatch):
    def fail(**_):
        raise ValueError

    browser = Browser(raise_request_exception=False)
    browser.force_login(inspection.inspector)
    monkeypatch.setattr("inspections.views.clients.render", fail)

    response = browser.get(reverse("clients"))

    assert response.status_code == 500
    assert "it is our fault" in response.text


def test_a_statement_the_database_does_not_understand_is_a_fault_of_ours():
    with pytest.raises((OperationalError, ProgrammingError)) as caught:
        run("SELECT nothing_of_this_name FROM inspections_firm")
    assert not is_unavailable(caught.value)
