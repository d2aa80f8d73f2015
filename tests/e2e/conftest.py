"""What the browser tests share."""

import pytest
from django.conf import settings


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
