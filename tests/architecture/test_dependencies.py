"""What is installed is pinned, and a published weakness of it is told."""

import json
import re
import subprocess
import sys
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from threading import Thread

import pytest

ROOT = Path(__file__).parents[2]
LISTS = sorted(ROOT.glob("requirements*.txt"))
GONE = "http://127.0.0.1:9/"  # the port of a service that nobody runs


def look_up(service):
    command = [sys.executable, ".ci/vulnerabilities.py", "--service", service]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


@pytest.fixture
def service():
    """Stands in for OSV on this machine: says what ``weak`` names of each version asked about."""
    weak = {}

    class Answers(BaseHTTPRequestHandler):
        def do_POST(self):
            queries = json.loads(self.rfile.read(int(self.headers["Content-Length"])))["queries"]
            told = [
                {"vulns": [{"id": weak[name]}]} if (name := query["package"]["name"]) in weak else {}
                for query in queries
            ]
            self.send_response(200)
            self.end_headers()
            self.wfile.write(json.dumps({"results": told}).encode())

        def log_message(self, *_):
            pass

    with HTTPServer(("127.0.0.1", 0), Answers) as server:
        thread = Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}/", weak
        server.shutdown()
        thread.join()


@pytest.mark.parametrize("path", LISTS, ids=lambda path: path.name)
def test_everything_installed_is_pinned_to_one_version(path):
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if re.match(r"[^\s#-]", line)]
    assert len(lines) > 20
    assert [line for line in lines if not re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.!+]+", line)] == []


def test_a_published_weakness_is_named_and_fails(service):
    address, weak = service
    assert look_up(address).returncode == 0
    weak["pillow"] = "EXAMPLE-1"
    run = look_up(address)
    assert run.returncode == 1
    assert re.fullmatch(r"pillow \S+: EXAMPLE-1\n", run.stdout)


def test_no_answer_is_said_plainly_and_fails_nothing():
    run = look_up(GONE)
    assert run.returncode == 0
    assert "Nothing was looked up" in run.stdout
