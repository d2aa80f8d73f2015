"""What the site tells browsers, how it starts when it is served, and what its log says."""

import logging
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.test import Client as Browser
from django.urls import reverse

from config.logs import WithoutPersonalData
from tests.factories import MemberFactory

ROOT = Path(__file__).parents[2]
GOOD_KEY = "".join(chr(ord("!") + n) for n in range(70))


def manage(*words, **env):
    command = [sys.executable, "-W", "error", "manage.py", *words]
    own = {name: value for name, value in os.environ.items() if not name.startswith("DJANGO_")}
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, env=own | env)


def test_check_deploy_is_clean_when_served():
    run = manage("check", "--deploy", "--fail-level", "WARNING", DEBUG="off", SECRET_KEY=GOOD_KEY)
    assert run.returncode == 0, run.stderr


def test_it_does_not_start_with_the_development_key():
    run = manage("check", DEBUG="off")
    assert run.returncode != 0
    assert "Set SECRET_KEY" in run.stderr


def test_cookies_are_for_https_alone_and_browsers_are_kept_to_it_when_served():
    expected = {
        "SESSION_COOKIE_SECURE": True,
        "CSRF_COOKIE_SECURE": True,
        "SESSION_COOKIE_NAME": "__Host-sessionid",
        "CSRF_COOKIE_NAME": "__Host-csrftoken",
        "SESSION_COOKIE_DOMAIN": None,  # as the prefix asks
        "SECURE_SSL_REDIRECT": True,
        "SECURE_HSTS_SECONDS": 31536000,
    }
    show = f"from django.conf import settings; print([getattr(settings, n) for n in {list(expected)}])"
    run = manage("shell", "--no-imports", "-c", show, DEBUG="off", SECRET_KEY=GOOD_KEY)
    assert run.stdout.strip() == str(list(expected.values())), run.stderr


@pytest.mark.parametrize(("proxies", "believed"), [("0", None), ("1", ("HTTP_X_FORWARDED_PROTO", "https"))])
def test_only_a_proxy_of_ones_own_is_believed_that_a_request_came_by_https(proxies, believed):
    show = "from django.conf import settings; print(settings.SECURE_PROXY_SSL_HEADER)"
    served = {"DEBUG": "off", "SECRET_KEY": GOOD_KEY, "TRUSTED_PROXIES": proxies}
    run = manage("shell", "--no-imports", "-c", show, **served)
    assert run.stdout.strip() == str(believed), run.stderr


@pytest.mark.django_db
def test_every_answer_carries_the_policies():
    browser = Browser()
    browser.force_login(MemberFactory())
    for response in (
        browser.get(reverse("clients")),
        Browser().get(reverse("account_login")),
        browser.get("/none/"),
    ):
        policy = response["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert response["Referrer-Policy"] == "same-origin"
        assert "geolocation=()" in response["Permissions-Policy"]
        assert response["X-Content-Type-Options"] == "nosniff"


@pytest.mark.django_db
def test_no_cache_on_the_way_keeps_a_page_of_somebodys():
    browser = Browser()
    browser.force_login(MemberFactory())
    assert browser.get(reverse("clients"))["Cache-Control"] == "private"


def as_logged(message, *args, exc_info=None):
    record = logging.LogRecord("django.request", logging.ERROR, "f.py", 1, message, args, exc_info)
    return WithoutPersonalData().format(record)


def test_a_log_line_names_the_page_and_not_what_was_asked_of_it():
    line = as_logged("Not Found: %s", "/clients/?q=rowan@example.com")
    assert "Not Found: /clients/" in line
    assert "rowan" not in line


@pytest.mark.parametrize(
    "link",
    ["/join/1.abcDEF/", "/report/abcDEF/report.pdf", "/password/new/1-abcDEF/", "/sign-in/address/abcDEF/"],
)
def test_a_log_line_does_not_give_a_link_away(link):
    assert "abcDEF" not in as_logged("Gone: %s", link)


def test_a_logged_error_says_where_and_of_what_kind_without_its_text():
    try:
        raise ValueError("Key (email)=(rowan@example.com) already exists")
    except ValueError:
        line = as_logged("Internal Server Error: %s", "/clients/add/", exc_info=sys.exc_info())
    assert "builtins.ValueError" in line
    assert "test_web.py" in line
    assert "rowan" not in line
