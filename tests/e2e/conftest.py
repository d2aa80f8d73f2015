"""What the browser tests share."""

import pytest
from django.conf import settings

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
