"""The server is killed in the midst of grid saves: what was answered is there, and no row is half there."""

import http.client
import json
import os
import socket
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from threading import Event, Thread
from time import monotonic, sleep
from urllib.parse import urlencode

import pytest

ROOT = Path(__file__).parents[2]
PEOPLE = 4
SAVES_BEFORE_THE_KILL = 40
PATIENCE_S = 60  # far more than is needed; a machine that is busy is no failure
CSRF = "a" * 32

PREPARE = """
import json, django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.test import Client
from tests.factories import BoardFactory, CircuitFactory, InspectionFactory
board = BoardFactory()
circuits = [CircuitFactory(board=board).pk for _ in range(%d)]
inspection = InspectionFactory(installation=board.installation)
browser = Client()
browser.force_login(inspection.inspector)
print(json.dumps({
    "path": f"/inspections/{inspection.pk}/boards/{board.pk}/results/",
    "session": browser.cookies["sessionid"].value,
    "circuits": circuits,
}))
"""


class Person:
    """Saves one row again and again, each time with one number in two cells."""

    def __init__(self, port, place, circuit):
        self.port, self.place, self.circuit = port, place, circuit
        self.sent = self.answered = 0
        self.refused = []

    def save_until(self, stop):
        while not stop.is_set():
            try:
                self._save(self.sent + 1)
            except (OSError, http.client.HTTPException):  # the server is gone
                return

    def _save(self, number):
        row = {"version": self.answered, "r1_r2": f"{number}.00", "zs": f"{number}.00"}
        body = urlencode({f"{self.circuit}.{name}": value for name, value in row.items()})
        headers = {
            "Content-Type": "application/x-www-form-urlencoded",
            "Cookie": f"sessionid={self.place['session']}; csrftoken={CSRF}",
            "X-CSRFToken": CSRF,
            "X-Fragment": "rows",
        }
        with closing(http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)) as connection:
            self.sent = number
            connection.request("POST", self.place["path"], body, headers)
            answer = connection.getresponse()
            # A kill between two lines of the head leaves a status and no length: it reads as an empty page.
            if answer.getheader("Content-Length") is None:
                raise http.client.IncompleteRead(b"")
            text = answer.read().decode()
            if answer.status != 200 or f'value="{number}.00"' not in text:
                self.refused.append((answer.status, text))
            self.answered = number


def python(*words, **kwargs):
    return [sys.executable, *words], {"cwd": ROOT, "text": True, **kwargs}


def wait_for(ready, what):
    end = monotonic() + PATIENCE_S
    while not ready():
        assert monotonic() < end, what
        sleep(0.02)


def answers(port):
    with closing(socket.socket()) as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


@pytest.fixture
def database(tmp_path):
    return tmp_path / "killed.sqlite3"


@pytest.fixture
def environment(database):
    return os.environ | {
        "DJANGO_SETTINGS_MODULE": "config.settings",
        "DATABASE_URL": f"sqlite:///{database}",
        "DEBUG": "on",
    }


@pytest.fixture
def served(environment):
    """Starts a server, and says on which port and as which process. Whatever still runs is ended after."""
    running = []

    def start():
        with closing(socket.socket()) as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        command, how = python("manage.py", "runserver", "--noreload", f"127.0.0.1:{port}", env=environment)
        server = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **how)
        running.append(server)
        wait_for(lambda: answers(port), "the server did not start")
        return port, server

    yield start
    for server in running:
        server.kill()
        server.wait()


def test_a_killed_server_has_kept_every_answered_save_whole(database, environment, served):
    command, how = python("-c", PREPARE % PEOPLE, env=environment)
    prepared = subprocess.run(command, capture_output=True, check=True, **how)
    place = json.loads(prepared.stdout)
    port, server = served()
    people = [Person(port, place, circuit) for circuit in place["circuits"]]
    stop = Event()
    threads = [Thread(target=person.save_until, args=[stop]) for person in people]
    for thread in threads:
        thread.start()
    try:
        wait_for(
            lambda: sum(person.answered for person in people) >= SAVES_BEFORE_THE_KILL,
            "too few saves answered",
        )
        server.kill()
        server.wait()
    finally:
        stop.set()
        for thread in threads:
            thread.join()

    port, _ = served()

    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)) as connection:
        connection.request("GET", place["path"], headers={"Cookie": f"sessionid={place['session']}"})
        page = connection.getresponse()
        assert page.status == 200
        grid = page.read().decode()
    with closing(sqlite3.connect(database)) as kept:
        assert kept.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        for person in people:
            assert person.refused == []
            results = kept.execute(
                "SELECT r1_r2, zs, version FROM inspections_circuitresult WHERE circuit_id = ?",
                [person.circuit],
            ).fetchall()
            history = kept.execute(
                "SELECT r1_r2, zs, version FROM inspections_historicalcircuitresult WHERE circuit_id = ?"
                " ORDER BY version",
                [person.circuit],
            ).fetchall()
            ((r1_r2, zs, version),) = results
            # The last one sent may have been kept and not answered, or neither.
            assert person.answered <= version <= person.sent
            assert r1_r2 == zs == f"{version}.00"
            assert history == [(f"{n}.00", f"{n}.00", n) for n in range(1, version + 1)]
            assert f'value="{version}.00"' in grid
