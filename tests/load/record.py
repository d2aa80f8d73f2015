"""The firm that the load is put on, and what its record holds afterwards, each by a process of its own."""

import json
import subprocess
import sys
from collections.abc import Mapping
from typing import Any

from tests.served import ROOT

PREPARE = """
import json, sys, django; django.setup()
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.test import Client
from inspections.enums import Role
from inspections.models import Firm
from tests.factories import BoardFactory, CircuitFactory, ClientFactory, InspectionFactory
from tests.factories import InstallationFactory, MemberFactory
inspectors, offices, rows, circuits = json.loads(sys.argv[1])
call_command("migrate", verbosity=0)
call_command("make_firm", circuits=circuits, verbosity=0, stdout=sys.stderr)
firm = Firm.objects.get()
def cookies(member):
    browser = Client()
    browser.force_login(member)
    session = settings.SESSION_COOKIE_NAME
    return f"{session}={browser.cookies[session].value}; {settings.CSRF_COOKIE_NAME}={'a' * 32}"
def grid():
    place = InstallationFactory(client=ClientFactory(firm=firm))
    board = BoardFactory(installation=place)
    visit = InspectionFactory(installation=place, inspector=MemberFactory(firm=firm, role=Role.INSPECTOR))
    return {
        "path": f"/inspections/{visit.pk}/boards/{board.pk}/results/",
        "cookies": cookies(visit.inspector),
        "circuits": [CircuitFactory(board=board).pk for _ in range(rows)],
    }
def beside(grid):  # a supervisor at the same board
    return grid | {"cookies": cookies(MemberFactory(firm=firm, role=Role.SUPERVISOR))}
shared = inspectors // 10
grids = [grid() for _ in range(inspectors - shared)]
connection.cursor().execute("ANALYZE")  # as a database that is in use has done by itself
print(json.dumps({
    "inspectors": grids + [beside(one) for one in grids[:shared]],
    "offices": [cookies(MemberFactory(firm=firm, role=Role.OFFICE)) for _ in range(offices)],
}))
"""
READ = """
import json, django; django.setup()
from inspections.models import CircuitResult
typed = CircuitResult.history.filter(remarks__contains=" typed ")
print(json.dumps(list(typed.values_list("circuit_id", "remarks", "version"))))
"""


def prepare(
    environment: Mapping[str, str], *, inspectors: int, offices: int, rows: int, circuits: int
) -> dict[str, Any]:
    """Makes the firm; of the inspectors one in ten works at a colleague's board. Gives their cookies."""
    return _run(PREPARE, environment, json.dumps([inspectors, offices, rows, circuits]))


def kept(environment: Mapping[str, str]) -> dict[tuple[int, str], int]:
    """The version at which each text stands in the history of its row."""
    return {(circuit, text): version for circuit, text, version in _run(READ, environment)}


def _run(program: str, environment: Mapping[str, str], *words: str) -> Any:
    done = subprocess.run(
        [sys.executable, "-c", program, *words], cwd=ROOT, env=environment, stdout=subprocess.PIPE, check=True
    )
    return json.loads(done.stdout)
