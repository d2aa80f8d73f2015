"""Inspectors who type rows into a grid, and offices that look through the audit, at the pace of people."""

import http.client
import random
import re
from contextlib import closing
from dataclasses import dataclass, field
from threading import Event
from time import perf_counter
from urllib.parse import urlencode

from tests.served import PATIENCE_S, SITE

CSRF = "a" * 32
ROW_S, PAGE_S = 4.0, 6.0  # from one row to the next, and from one page to the next, on average
QUESTIONS = ("loads-in-the-way", "falling-due", "unexplained", "parts", "insulation-and-zs", "getting-worse")


@dataclass(frozen=True)
class Save:
    """A save that the site answered as kept: the text, and the version the person saw before."""

    circuit: int
    text: str
    seen: int


@dataclass
class Person:
    """Someone with a browser. ``took``: what was asked and the seconds to its answer; ``errors``: what else
    came."""

    port: int
    cookies: str
    number: int
    took: list[tuple[str, float]] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def work_until(self, stop: Event) -> None:
        chance = random.Random(self.number)
        while not stop.wait(chance.expovariate(1 / self.pace_s)):
            try:
                self.do_one(chance)
            except (OSError, http.client.HTTPException) as error:
                self.errors.append(repr(error))

    def ask(self, what: str, method: str, path: str, body: str = "") -> str:
        headers = {
            "Host": SITE,
            "X-Forwarded-Proto": "https",
            "Referer": f"https://{SITE}{path}",
            "Content-Type": "application/x-www-form-urlencoded",
            "Cookie": self.cookies,
            "X-CSRFToken": CSRF,
            "X-Fragment": "rows" if method == "POST" else "",
        }
        begun = perf_counter()
        with closing(http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)) as connection:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            text = answer.read().decode()
        self.took.append((what, perf_counter() - begun))
        if answer.status != 200:
            self.errors.append(f"{answer.status} to {method} {path}")
        return text


@dataclass
class Inspector(Person):
    """Types a row, leaves it, and goes on to the next. The first row of a shared board is typed by both."""

    path: str = ""
    circuits: list[int] = field(default_factory=list)
    saves: list[Save] = field(default_factory=list)
    conflicts: int = 0
    typed: int = 0
    versions: dict[int, int] = field(default_factory=dict)
    pace_s = ROW_S

    def do_one(self, chance: random.Random) -> None:
        if not self.versions:
            self._see(self.ask("the grid", "GET", self.path))
            return
        self.typed += 1
        circuit = chance.choice(self.circuits)
        text = f"{self.number} typed {self.typed}"
        row = {"version": self.versions[circuit], "zs": f"{chance.uniform(0.2, 2):.2f}", "remarks": text}
        posted = urlencode({f"{circuit}.{name}": value for name, value in row.items()})
        answer = self.ask("a row saved", "POST", self.path, posted)
        if re.search(rf'<input name="{circuit}\.remarks"[^>]* data-clash', answer):
            self.conflicts += 1  # typed again later, now knowing what stands there
        elif f'value="{text}"' in answer:
            self.saves.append(Save(circuit, text, self.versions[circuit]))
        self._see(answer)

    def _see(self, page: str) -> None:
        for circuit, version in re.findall(r'name="(\d+)\.version" value="(\d+)"', page):
            self.versions[int(circuit)] = int(version)


@dataclass
class Office(Person):
    """Opens one question of the audit after another."""

    pace_s = PAGE_S

    def do_one(self, chance: random.Random) -> None:
        self.ask("a page of the audit", "GET", f"/audit/{chance.choice(QUESTIONS)}/")
