"""What every test may ask for."""

import os
import shutil
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from urllib.parse import urlsplit
from uuid import uuid4

import pytest
from django.core.cache import cache
from django.db import connection
from hypothesis import HealthCheck, settings

from tests.databases import url_for_another_process

ROOT = Path(__file__).parents[1]

# A busy machine is no fault of the code: how long an example takes is not judged.
# The same examples each time, so that a change is judged by what it changed; few, as `make fuzz` tries many.
settings.register_profile(
    "untimed",
    max_examples=40,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("new", settings.get_profile("untimed"), derandomize=False)  # other ones each time
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "untimed"))

DATABASES = {"db", "transactional_db", "own_database"}
PATIENCE_MS = 60_000  # far more than a page needs; a machine that is busy is no failure

CHROMIUM_NAMES = ("chromium", "chromium-browser")
CHROMIUM_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]


def pytest_collection_modifyitems(items):
    """What a test asks for says whether it drives a browser and whether it needs a database."""
    for item in items:
        asked = set(getattr(item, "fixturenames", ()))
        if "browser" in asked:
            item.add_marker(pytest.mark.e2e)
        if item.get_closest_marker("django_db") or asked & DATABASES:
            item.add_marker(pytest.mark.database)


@pytest.fixture
def own_database(tmp_path):
    """The environment of a process on an empty database of its own, of the kind that the tests run on, with a
    folder of its own for files, whichever settings it takes."""
    folder = str(tmp_path / "media")
    environment = os.environ | {"DJANGO_SETTINGS_MODULE": "config.settings", "DEBUG": "on"}
    environment |= {"MEDIA_ROOT": folder, "FILES_OF_THE_TEST": folder}
    server = os.environ.get("DATABASE_URL", "")
    if not server.startswith("postgres"):
        yield environment | {"DATABASE_URL": f"sqlite:///{tmp_path / 'own.sqlite3'}"}
        return
    import psycopg

    name = f"own_{uuid4().hex}"
    with closing(psycopg.connect(server, autocommit=True)) as founder:
        founder.execute(f"CREATE DATABASE {name}")
        yield environment | {"DATABASE_URL": urlsplit(server)._replace(path=f"/{name}").geturl()}
        founder.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(scope="session")
def laid_out_sqlite(django_db_setup, django_db_blocker, tmp_path_factory):
    """A file of SQLite with every table and no row of ours, to be copied: laying one out takes seconds."""
    if connection.vendor != "sqlite":
        pytest.skip("makes a file of SQLite: tried where the tests run on SQLite")
    path = tmp_path_factory.mktemp("laid-out") / "empty.sqlite3"
    with django_db_blocker.unblock():
        url_for_another_process(path)
    return path


@pytest.fixture
def laid_out_database(own_database, request):
    """The same, with every table laid out."""
    url = own_database["DATABASE_URL"]
    if url.startswith("sqlite"):
        shutil.copy(request.getfixturevalue("laid_out_sqlite"), url.removeprefix("sqlite:///"))
    else:
        migrate = [sys.executable, "manage.py", "migrate", "--verbosity", "0"]
        subprocess.run(migrate, cwd=ROOT, env=own_database, check=True)
    return own_database


@pytest.fixture
def kept_files(settings, tmp_path):
    """The folder on a disk where photographs and PDFs are kept, as the site keeps them."""
    folder = tmp_path / "media"
    on_a_disk = {"BACKEND": "config.whole_files.WholeFiles", "OPTIONS": {"location": folder}}
    settings.STORAGES = settings.STORAGES | {"default": on_a_disk}
    return folder


@pytest.fixture(autouse=True)
def no_attempts_yet():
    """What was tried in one test is not held against the next."""
    cache.clear()


@pytest.fixture(scope="session")
def needed_program():
    """Finds a program by any of its names. A missing one fails the test where CI is true, else skips it."""

    def find(*names: str) -> str:
        for name in names:
            if path := shutil.which(name):
                return path
        message = f"{names[0]} is not installed: apt-get install {names[0]}"
        if os.environ.get("CI") == "true":
            pytest.fail(message)
        pytest.skip(message)

    return find


@pytest.fixture(scope="session")
def browser(needed_program):
    """Debian's Chromium, driven by Playwright."""
    path = needed_program(*CHROMIUM_NAMES)
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=PATIENCE_MS)

    # Playwright keeps an event loop in this thread, which Django would take for asynchronous code.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=CHROMIUM_ARGUMENTS)
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser, live_server):
    """A page of a fresh browser session on the live server. An error in a script of ours fails the test."""
    context = browser.new_context(base_url=live_server.url)
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    context.close()
    assert errors == []
