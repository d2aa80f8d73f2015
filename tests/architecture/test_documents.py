"""What a developer must be told stands in DEVELOPERS.md."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
SETTINGS = (ROOT / "config" / "settings.py").read_text(encoding="utf-8")
READS_THE_ENVIRONMENT = re.compile(r'\benv(?:\.\w+)?\(\s*"([A-Z0-9_]+)"')


def test_every_environment_name_is_listed():
    names = set(READS_THE_ENVIRONMENT.findall(SETTINGS))
    assert {"DEBUG", "SECRET_KEY", "DATABASE_URL"} <= names
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert {name for name in names if f"`{name}`" not in guide} == set()


def test_the_environment_is_read_in_the_settings_alone():
    reading = re.compile(r"\bos\.environ\b|\bgetenv\(|\benviron\.Env\b")
    others = [
        str(path.relative_to(ROOT))
        for app in ("config", "inspections", "remedies", "reports")
        for path in (ROOT / app).rglob("*.py")
        if reading.search(path.read_text(encoding="utf-8"))
    ]
    # The WSGI module says which settings to use.
    assert set(others) <= {"config/settings.py", "config/wsgi.py"}
