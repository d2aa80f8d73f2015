"""The server is killed in the midst of grid saves: what was answered is there, and no row is half there.

On the kind of database that DATABASE_URL names. ``make killed`` does it with 1,000 saves on both.
"""

import http.client
import json
import os
import re
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
SAVES_BEFORE_THE_KILL = int(os.environ.get("SAVES_BEFORE_THE_KILL", 40))
PATIENCE_S = 60  # far more than is needed; a machine that is busy is no failure
CSRF = "a" * 32
SERVES_AT = re.compile(r"http://127\.0\.0\.1:(\d+)/")

PREPARE = """
import json, django; django.setup()
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


READ = """
import json, django; django.setup()
from django.db import connection, transaction
from inspections.models import CircuitResult, Inspection
columns = ["circuit_id", "r1_r2", "zs", "version"]
def rows(manager):
    return [[str(cell) for cell in row] for row in manager.order_by("version").values_list(*columns)]
with transaction.atomic():  # a PostgreSQL server may still be at the commit that the killed one asked for
    Inspection.objects.select_for_update().get()
if connection.vendor == "sqlite":
    with connection.cursor() as cursor:
        assert cursor.execute("PRAGMA integrity_check").fetchone() == ("ok",)
print(json.dumps({"results": rows(CircuitResult.objects), "history": rows(CircuitResult.history)}))
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


def wait_for(ready, what, patience_s=PATIENCE_S):
    """What ``ready`` gives at last."""
    end = monotonic() + patience_s
    while not (found := ready()):
        assert monotonic() < end, what
        sleep(0.02)
    return found


@pytest.fixture
def run(laid_out_database):
    """Runs a program on the database of its own. What it printed, read."""

    def program(text):
        command, how = python("-c", text, env=laid_out_database)
        return json.loads(subprocess.run(command, stdout=subprocess.PIPE, check=True, **how).stdout)

    return program


@pytest.fixture
def served(laid_out_database, tmp_path):
    """Starts a server, and says on which port and as which process. Whatever still runs is ended after."""
    running = []

    def start():
        said = tmp_path / f"server-{len(running)}.txt"
        command, how = python(
            "-u", "manage.py", "runserver", "--noreload", "127.0.0.1:0", env=laid_out_database
        )  # it takes a port that is free and says which
        with said.open("w") as out:
            server = subprocess.Popen(command, stdout=out, stderr=subprocess.DEVNULL, **how)
        running.append(server)
        port = wait_for(lambda: SERVES_AT.search(said.read_text()), "the server did not start")
        return int(port[1]), server

    yield start
    for server in running:
        server.kill()
        server.wait()


def test_a_killed_server_has_kept_every_answered_save_whole(run, served):
    place = run(PREPARE % PEOPLE)
    port, server = served()
    people = [Person(port, place, circuit) for circuit in place["circuits"]]
    stop = Event()
    threads = [Thread(target=person.save_until, args=[stop]) for person in people]
    for thread in threads:
        thread.start()
    try:
        wait_for(
            lambda: (
                all(person.answered for person in people)
                and sum(person.answered for person in people) >= SAVES_BEFORE_THE_KILL
            ),
            "too few saves answered",
            PATIENCE_S + SAVES_BEFORE_THE_KILL,
        )
        server.kill()
        server.wait()
    finally:
        stop.set()
        for thread in threads:
            thread.join()

    kept = run(READ)
    port, _ = served()

    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)) as connection:
        connection.request("GET", place["path"], headers={"Cookie": f"sessionid={place['session']}"})
        page = connection.getresponse()
        assert page.status == 200
        grid = page.read().decode()
    for person in people:
        assert person.refused == []
        results, history = (
            [row[1:] for row in kept[table] if row[0] == str(person.circuit)]
            for table in ("results", "history")
        )
        ((_, _, version),) = results
        # The last one sent may have been kept and not answered, or neither.
        assert person.answered <= int(version) <= person.sent
        assert results == [[f"{version}.00", f"{version}.00", version]]
        assert history == [[f"{n}.00", f"{n}.00", str(n)] for n in range(1, int(version) + 1)]
        assert f'value="{version}.00"' in grid
