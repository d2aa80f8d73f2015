"""What the browser tests share."""

import time
from threading import current_thread, main_thread

import pytest
from django.conf import settings
from django.core.signals import request_finished, request_started

from config import offline
from tests.conftest import PATIENCE_MS


@pytest.fixture(scope="session", autouse=True)
def patient_worker():
    """A busy machine is no weak signal: the service worker waits for it as long as the tests do."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(offline, "PATIENCE_MS", PATIENCE_MS)
        offline._script.cache_clear()
        yield
    offline._script.cache_clear()


@pytest.fixture(autouse=True)
def all_answered(transactional_db):
    """What a page asked for last is answered before the tables are emptied for the next test."""
    asked = []

    def begin(**kwargs):
        if current_thread() is not main_thread():  # in which the test itself asks
            asked.append(1)

    def end(**kwargs):
        if current_thread() is not main_thread():
            asked.pop()

    request_started.connect(begin)
    request_finished.connect(end)
    yield
    latest = time.monotonic() + PATIENCE_MS / 1000
    while asked and time.monotonic() < latest:
        time.sleep(0.02)
    request_started.disconnect(begin)
    request_finished.disconnect(end)


@pytest.fixture
def sign_in(client, live_server):
    """``sign_in(page, member)``: the page's session is the member's, without typing."""

    def as_member(page, member):
        client.force_login(member)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
        page.context.add_cookies(
            [{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}]
        )

    return as_member
