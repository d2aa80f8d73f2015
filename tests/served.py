"""The site as the container starts it, on this machine and a free port."""

import json
import re
import socket
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from time import monotonic, sleep

ROOT = Path(__file__).parents[1]
DOCKERFILE = (ROOT / "Dockerfile").read_text(encoding="utf-8")
SITE = "records.example.com"
PATIENCE_S = 60  # far more than is needed; a machine that is busy is no failure


def last_command(word: str) -> list[str]:
    """The words of the Dockerfile's last line of this kind, such as CMD."""
    return json.loads(re.findall(rf"{word} (\[.*\])$", DOCKERFILE, re.MULTILINE)[-1])


def environment_of(folder: Path, key: str) -> dict[str, str]:
    """What a served site behind one proxy is told, its files in ``folder``."""
    return {
        "DJANGO_SETTINGS_MODULE": "config.settings",
        "DEBUG": "off",
        "SECRET_KEY": key,
        "ALLOWED_HOSTS": SITE,
        "CSRF_TRUSTED_ORIGINS": f"https://{SITE}",
        "TRUSTED_PROXIES": "1",
        "MEDIA_ROOT": str(folder / "media"),
        "STATIC_ROOT": str(folder / "static"),
    }


@contextmanager
def served(environment: Mapping[str, str]) -> Iterator[int]:
    """Collects the static files and starts the server; gives its port once it answers."""
    port = _free_port()
    collect = re.search(r"(manage.py collectstatic .*)$", DOCKERFILE, re.MULTILINE)[0].split()
    subprocess.run([sys.executable, *collect], cwd=ROOT, env=environment, check=True)
    program, *words = (word.replace(":8000", f":{port}") for word in last_command("CMD"))
    command = [str(Path(sys.executable).with_name(program)), *words]
    with subprocess.Popen(command, cwd=ROOT, env=environment, stderr=subprocess.DEVNULL) as server:
        try:
            end = monotonic() + PATIENCE_S
            while not _answers(port):
                assert server.poll() is None, "the server ended"
                assert monotonic() < end, "the server did not start"
                sleep(0.1)
            yield port
        finally:
            server.terminate()


def _free_port() -> int:
    with closing(socket.socket()) as free:
        free.bind(("127.0.0.1", 0))
        return free.getsockname()[1]


def _answers(port: int) -> bool:
    with closing(socket.socket()) as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0
