"""The grid of 60 circuits opened on a slow phone, from the tap to where it can be typed in.

The site is served as the Dockerfile starts it. The browser works at a quarter of its pace, and its network at
150 ms a request and 1.6 Mbit/s: the profile usual for a phone on slow 4G (value from memory). The service
worker is left out, because what it fetches is not slowed.
"""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from django.conf import settings
from django.test import Client
from django.urls import reverse
from playwright.sync_api import sync_playwright

from tests.conftest import CHROMIUM_ARGUMENTS, CHROMIUM_NAMES
from tests.databases import url_for_another_process
from tests.factories import BoardFactory, CircuitFactory, InspectionFactory
from tests.served import environment_of, served

CIRCUITS, TIMES = 60, 5
SLOWER = 4
NETWORK = {"offline": False, "latency": 150, "downloadThroughput": 200_000, "uploadThroughput": 94_000}
PHONE = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True}
# On this machine without a proxy: Chromium takes http here for as good as https.
OPEN_HERE = {"ALLOWED_HOSTS": "localhost", "TRUSTED_PROXIES": "0", "SECURE_SSL_REDIRECT": "off"}
READY = "() => performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd"


def report() -> Iterator[str]:
    program = next(filter(None, map(shutil.which, CHROMIUM_NAMES)), None)
    if program is None:
        yield "the grid on a slow phone: not measured, no Chromium"
        return
    with TemporaryDirectory() as folder:
        path, session = _grid()
        environment = os.environ | environment_of(Path(folder), settings.SECRET_KEY) | OPEN_HERE
        environment["DATABASE_URL"] = url_for_another_process(Path(folder) / "phone.sqlite3")
        with served(environment) as port, sync_playwright() as playwright:
            chromium = playwright.chromium.launch(executable_path=program, args=CHROMIUM_ARGUMENTS)
            for what, been_at in (("its first page", ()), ("from Today", ("/",)), ("again", (path, "/"))):
                took = median(_opened(chromium, port, path, session, been_at) for _ in range(TIMES))
                yield f"{f'60 circuits on a slow phone, {what}':58} {took:8.0f} ms  target 1000 ms"
            chromium.close()


def _grid() -> tuple[str, str]:
    """The page's path, and the session of the visit's inspector."""
    inspection = InspectionFactory()
    board = BoardFactory(installation=inspection.installation)
    for way in range(1, CIRCUITS + 1):
        CircuitFactory(board=board, way=str(way), description=f"Sockets, room {way}")
    browser = Client()
    browser.force_login(inspection.inspector)
    return (
        reverse("results_grid", args=[inspection.pk, board.pk]),
        browser.cookies[settings.SESSION_COOKIE_NAME].value,
    )


def _opened(chromium, port, path, session, been_at) -> float:
    """Milliseconds from the tap on. been_at: the pages that the phone has shown before."""
    site = f"//localhost:{port}"
    context = chromium.new_context(**PHONE, base_url=f"http:{site}", service_workers="block")
    cookie = {"name": "__Host-sessionid", "value": session, "url": f"https:{site}", "secure": True}
    context.add_cookies([cookie])
    page = context.new_page()
    for before in been_at:
        page.goto(before)
    tools = context.new_cdp_session(page)
    tools.send("Network.enable")
    tools.send("Network.emulateNetworkConditions", NETWORK)
    tools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.goto(path, wait_until="load")
    assert page.locator("[data-row]").count() == CIRCUITS
    took = page.evaluate(READY)
    context.close()
    return took
