"""What the container would do, as far as that shows without one: the compose file against the settings, and
the Dockerfile's own commands run here."""

import os
import re
import subprocess
import sys
from contextlib import closing
from http.client import HTTPConnection

import pytest
import yaml

from tests.architecture.test_documents import READS_THE_ENVIRONMENT, SETTINGS
from tests.config.test_web import GOOD_KEY
from tests.databases import url_for_another_process
from tests.served import DOCKERFILE, PATIENCE_S, ROOT, SITE, environment_of, last_command, served

COMPOSE = yaml.safe_load((ROOT / "compose.yaml").read_text(encoding="utf-8"))
OURS = {name: service for name, service in COMPOSE["services"].items() if name != "database"}


def test_every_name_that_compose_sets_is_one_that_the_settings_read():
    read = set(READS_THE_ENVIRONMENT.findall(SETTINGS))
    needed = {"DATABASE_URL", "SECRET_KEY", "ALLOWED_HOSTS", "TRUSTED_PROXIES"}
    for name, service in OURS.items():
        assert needed <= set(service["environment"]) <= read, name
    assert set(re.findall(r"\b([A-Z_]+)=", re.search(r"^ENV DEBUG.*$", DOCKERFILE, re.MULTILINE)[0])) <= read


def test_no_secret_stands_in_the_files_and_each_must_be_given():
    text = (ROOT / "compose.yaml").read_text(encoding="utf-8")
    for name in ("DATABASE_PASSWORD", "SECRET_KEY", "SITE_NAME"):
        assert f"${{{name}:?" in text  # compose stops where it is not given
    for service in OURS.values():
        assert service["environment"]["SECRET_KEY"].startswith("${")
        assert ":${DATABASE_PASSWORD" in service["environment"]["DATABASE_URL"]


def test_what_is_to_be_written_in_env_stands_in_the_guide():
    text = (ROOT / "compose.yaml").read_text(encoding="utf-8")
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert {name for name in re.findall(r"\$\{([A-Z0-9_]+)", text) if f"`{name}`" not in guide} == set()


def test_migrations_run_once_alone_after_a_backup_and_before_the_site():
    migrate = COMPOSE["services"]["migrate"]
    backup, then = migrate["command"][-1].split(" && ")
    assert "backup /data/backups --keep 14 --before-migrating" in backup
    assert then == "python manage.py migrate"
    assert migrate["restart"] == "no"
    for name in ("site", "backup"):
        assert OURS[name]["depends_on"] == {"migrate": {"condition": "service_completed_successfully"}}


def test_nothing_runs_as_root_or_is_open_to_the_network():
    assert re.search(r"^USER stillacross$", DOCKERFILE, re.MULTILINE)
    assert DOCKERFILE.index("USER stillacross") < DOCKERFILE.index("CMD [")
    assert "ports" not in COMPOSE["services"]["database"]
    assert OURS["site"]["ports"] == ["127.0.0.1:8000:8000"]


def test_what_must_outlast_a_container_lies_in_volumes():
    for service in OURS.values():
        assert set(service["volumes"]) == {"media:/data/media", "backups:/data/backups"}
    assert COMPOSE["services"]["database"]["volumes"] == ["database:/var/lib/postgresql/data"]
    assert set(COMPOSE["volumes"]) == {"media", "backups", "database"}


@pytest.fixture
def ask(transactional_db, tmp_path):
    """Asks the site as the Dockerfile starts it for a page, by path and headers."""
    own = {"DATABASE_URL": url_for_another_process(tmp_path / "served.sqlite3")}
    environment = os.environ | environment_of(tmp_path, GOOD_KEY) | own
    with served(environment) as port:

        def ask(path, **headers):
            with closing(HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)) as connection:
                connection.request("GET", path, headers={"Host": SITE} | headers)
                answer = connection.getresponse()
                return answer.status, answer.headers, answer.read().decode()

        ask.environment, ask.port = environment, port
        yield ask


def test_the_containers_server_serves_behind_its_proxy(ask):
    https = {"X-Forwarded-Proto": "https"}

    assert ask("/healthz", **https)[0] == 200
    status, _, page = ask("/sign-in/", **https)
    assert status in (200, 302)  # to the first-run page, where there is no firm yet
    _, _, page = ask("/begin/", **https)
    style = re.search(r'href="(/static/[^"]+\.[0-9a-f]{12}\.css)"', page)[1]
    status, headers, _ = ask(style, **https)
    assert not re.search(r"\d", headers["Server"])
    assert status == 200
    assert "immutable" in headers["Cache-Control"]
    status, headers, _ = ask("/begin/")
    assert (status, headers["Location"]) == (301, f"https://{SITE}/begin/")
    assert ask("/begin/", **https | {"Host": "another.example.com"})[0] == 400
    check = [word.replace(":8000", f":{ask.port}") for word in last_command("HEALTHCHECK .* CMD")]
    subprocess.run([sys.executable, *check[1:]], env=ask.environment, check=True)
