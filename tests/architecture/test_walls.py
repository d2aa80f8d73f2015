"""The walls between the apps, and the calculation that needs no framework."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PURE = ("inspections/rules", "remedies/physics")

WITHOUT_A_FRAMEWORK = """
import importlib, pkgutil, sys
for barred in ("django", "simple_history", "openpyxl", "reportlab"):
    sys.modules[barred] = None
package = importlib.import_module(sys.argv[1])
for module in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
    importlib.import_module(module.name)
    print(module.name)
"""


def modules(package):
    return sorted((ROOT / package).rglob("*.py"))


def imported(path):
    """The modules a file imports, wherever in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module


@pytest.mark.parametrize("package", PURE)
def test_calculation_runs_without_a_framework(package):
    name = package.replace("/", ".")
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", WITHOUT_A_FRAMEWORK, name],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert len(run.stdout.split()) == len(modules(package)) - 1  # all but the package itself


@pytest.mark.parametrize(
    "path", [p for package in PURE for p in modules(package)], ids=lambda path: str(path.relative_to(ROOT))
)
def test_calculation_uses_the_standard_library_and_its_own_package_alone(path):
    own = {".".join(Path(package).parts) for package in PURE if path.is_relative_to(ROOT / package)}
    foreign = [
        name
        for name in imported(path)
        if name.partition(".")[0] not in sys.stdlib_module_names
        and not any(name == package or name.startswith(f"{package}.") for package in own)
    ]
    assert foreign == []


def test_the_import_contracts_hold():
    run = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stdout
    assert "0 broken" in run.stdout
