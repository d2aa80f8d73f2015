"""Break each limit of the rules' data, one at a time, and see whether the rule tests notice.

Run from the project folder: python .ci/mutate_limits.py [--min SCORE]. Every number of every edition and of
the tables of standards is made a tenth larger, then a tenth smaller. The tests that hold them to published
figures are collected once; each broken file is then read in a process of its own, where they run until the
first failure. Prints the survivors and the score, and fails when the score is under SCORE per cent (100 if
not given).
"""

import argparse
import os
import re
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from importlib import import_module
from pathlib import Path

import pytest

RULES = Path("inspections/rules")
FILES = (*sorted((RULES / "editions").glob("*.toml")), RULES / "tables.toml")
TESTS = "tests/reference/rules"
FACTORS = (Decimal("1.1"), Decimal("0.9"))
QUOTED = re.compile(r'"[^"]*"|#.*')
NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.])(?!\s*=)")


@dataclass(frozen=True)
class Mutant:
    """One file with one number changed. where: file and line, for a person to find it."""

    file: Path
    text: str
    where: str


def mutants(file: Path) -> Iterator[Mutant]:
    """Every number that is a value, and not a key or part of a text, times each factor."""
    lines = file.read_text(encoding="utf-8").splitlines()
    for at, line in enumerate(lines):
        bare = QUOTED.sub(lambda match: "_" * len(match[0]), line)
        for match in NUMBER.finditer(bare):
            for factor in FACTORS:
                broken = f"{Decimal(match[0]) * factor:f}"
                changed = line[: match.start()] + broken + line[match.end() :]
                text = "\n".join([*lines[:at], changed, *lines[at + 1 :]])
                yield Mutant(
                    file, text, f"{file.name}:{at + 1}: {match[0]} → {broken} in “{line.strip()[:60]}”"
                )


class Breaker:
    """A pytest plugin: instead of one run, one run for each mutant over the tests collected once."""

    def __init__(self) -> None:
        self.survivors: list[str] = []
        self.total = 0
        self.first = 0  # the test that noticed the last one: neighbouring limits have neighbouring tests

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        if session.testsfailed:
            raise session.Interrupted("the tests cannot be collected")
        if not self._passes(session, None):
            raise session.Interrupted("the tests fail before anything is broken")
        for file in FILES:
            for mutant in mutants(file):
                self.total += 1
                if self._passes(session, mutant):
                    self.survivors.append(mutant.where)
        return True

    def _passes(self, session: pytest.Session, mutant: Mutant | None) -> bool:
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.write(writing, str(self._first_failure(session, mutant)).encode())
            os._exit(0)
        os.close(writing)
        os.waitpid(child, 0)
        with os.fdopen(reading) as pipe:
            noticed_by = pipe.read()
        if not noticed_by:
            raise session.Interrupted(f"the run broke down at {mutant.where if mutant else 'the start'}")
        if noticed_by == "None":
            return True
        self.first = int(noticed_by)
        return False

    def _first_failure(self, session: pytest.Session, mutant: Mutant | None) -> int | None:
        """In the child: the place of the first test to fail with the mutant in place."""
        with open(os.devnull, "w") as nowhere, tempfile.TemporaryDirectory() as folder:
            os.dup2(nowhere.fileno(), 1)
            os.dup2(nowhere.fileno(), 2)
            if mutant is not None:
                put_in_place(mutant, Path(folder))
            for place in (*range(self.first, len(session.items)), *range(self.first)):
                item = session.items[place]
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
                if session.testsfailed:
                    return place
        return None


def put_in_place(mutant: Mutant, folder: Path) -> None:
    """Let the rules read the broken file instead of their own."""
    edition, tables = import_module("inspections.rules.edition"), import_module("inspections.rules.tables")
    if mutant.file == RULES / "tables.toml":
        tables.FILE = folder / "tables.toml"
        tables.FILE.write_text(mutant.text, encoding="utf-8")
    else:
        for file in (RULES / "editions").glob("*.toml"):
            (folder / file.name).write_text(file.read_text(encoding="utf-8"), encoding="utf-8")
        (folder / mutant.file.name).write_text(mutant.text, encoding="utf-8")
        edition.FOLDER = folder
    edition.load.cache_clear()
    tables.load.cache_clear()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--min", type=float, default=100, help="least score in per cent")
    least = parser.parse_args().min
    breaker = Breaker()
    pytest.main(
        ["-p", "no:terminal", "-p", "no:cacheprovider", "-o", "addopts=--import-mode=importlib", TESTS],
        plugins=[breaker],
    )
    if not breaker.total:
        return 1
    killed = breaker.total - len(breaker.survivors)
    score = 100 * killed / breaker.total
    print(*breaker.survivors, sep="\n")
    print(f"{killed} of {breaker.total} broken limits noticed: {score:.1f} %")
    return 0 if score >= least else 1


if __name__ == "__main__":
    sys.path.insert(0, ".")
    raise SystemExit(main())
