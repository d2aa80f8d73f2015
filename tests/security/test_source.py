"""What the source holds none of. Each exception is named, so that another is looked at before it comes in."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
APPS = ("config", "inspections", "remedies", "reports")
FETCHES = ("urllib.request", "http.client", "socket", "requests", "httpx", "aiohttp", "ftplib", "telnetlib")
RUNS = ("pickle", "marshal", "shelve", "dill")
STARTS_A_PROGRAM = {
    "reports/intake/read.py",
    "reports/runs/work.py",
}  # this program itself, with words of ours
CALLS_SAFE = {
    "inspections/grid.py", "inspections/forms/help.py", "inspections/forms/layout.py",
    "reports/drawings/svg.py",
}  # fmt: skip
WRITES_SQL = {  # of names of tables and columns; each value is a parameter
    "config/health.py", "inspections/integrity.py", "inspections/services/members.py", "reports/triggers.py",
    "reports/backup/tables.py", "reports/backup/archive.py", "reports/backup/files.py",
    "reports/search/find.py", "reports/bulk_rows.py", "reports/invented_firm.py",
}  # fmt: skip
SAFE_IN_A_PAGE = {"service_worker.js"}  # JSON, written by json.dumps of our own files' names


@cache
def sources():
    """Path and parsed text of every module that a served site runs."""
    return {
        str(path.relative_to(ROOT)): ast.parse(path.read_text(encoding="utf-8"))
        for app in APPS
        for path in (ROOT / app).rglob("*.py")
        if not {"migrations", "commands"} & set(path.parts)
    }


def imports(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from (node.module or "", *(f"{node.module}.{alias.name}" for alias in node.names))


def importing(*names):
    return {path for path, tree in sources().items() if set(imports(tree)) & set(names)}


def calls(names):
    """Modules that call a function or method of one of these names."""
    return {
        path
        for path, tree in sources().items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and getattr(node.func, "id", getattr(node.func, "attr", None)) in names
    }


def test_no_text_is_run_as_code_or_command():
    assert calls({"eval", "exec", "__import__", "system", "popen", "from_string"}) == set()
    assert importing(*RUNS) == set()
    assert importing("subprocess") <= STARTS_A_PROGRAM
    shells = [
        node for tree in sources().values() for node in ast.walk(tree) if getattr(node, "arg", "") == "shell"
    ]
    assert shells == []


def test_no_address_is_fetched():
    assert importing(*FETCHES) == set()


def test_what_is_called_safe_is_no_text_of_a_user():
    assert calls({"mark_safe", "format_html", "SafeString"}) <= CALLS_SAFE
    safe = re.compile(r"\|\s*safe\b|autoescape off")
    pages = {
        path.name
        for path in (ROOT / "templates").rglob("*.*")
        if path.suffix in (".html", ".js", ".svg") and safe.search(path.read_text(encoding="utf-8"))
    }
    assert pages <= SAFE_IN_A_PAGE


def test_written_sql_is_put_together_from_our_own_names():
    assert calls({"execute", "executemany", "raw", "RawSQL", "extra"}) <= WRITES_SQL


def test_chance_is_for_invented_firms_alone():
    assert importing("random") == {"reports/invented_firm.py"}


@pytest.mark.parametrize("name", ["eval", "mark_safe"])
def test_the_search_finds_what_it_looks_for(name, monkeypatch):
    tree = ast.parse(f"import pickle\nx.{name}(1)\n{name}(2)")
    monkeypatch.setattr("tests.security.test_source.sources", lambda: {"one.py": tree})
    assert calls({name}) == {"one.py"}
    assert importing("pickle") == {"one.py"}
