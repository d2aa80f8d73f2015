"""Inspectors saving grids and offices auditing, at once and at the pace of people, on the site as served.

``python -m tests.load --seconds 60`` on the database that DATABASE_URL names, which it fills; on one of
SQLite where it names none. ``make load`` does it on both. Fails where an answer was an error or a save was
lost.
"""

import argparse
import os
import sys
from collections import defaultdict
from pathlib import Path
from statistics import quantiles
from tempfile import TemporaryDirectory
from threading import Event, Thread

from tests.load.people import Inspector, Office, Person
from tests.load.record import kept, prepare
from tests.served import environment_of, served

WARM_UP_S = 15  # each worker of the server loads the program at its first answer; not timed


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    for name, default in (
        ("seconds", 60),
        ("inspectors", 50),
        ("offices", 10),
        ("rows", 12),
        ("circuits", 5_000),
    ):
        parser.add_argument(f"--{name}", type=int, default=default)
    options = vars(parser.parse_args())
    seconds = options.pop("seconds")
    with TemporaryDirectory() as folder:
        own = {"DATABASE_URL": f"sqlite:///{folder}/load.sqlite3"}
        environment = own | os.environ | environment_of(Path(folder), os.urandom(40).hex())
        firm = prepare(environment, **options)
        with served(environment) as port:
            people = people_of(firm, port)
            work(people, WARM_UP_S)
            for person in people:
                person.took.clear()
            work(people, seconds)
        lost = lost_updates(people, kept(environment))
    print("\n".join(report(people, seconds, lost)))
    return int(bool(lost or any(person.errors for person in people)))


def people_of(firm, port) -> list[Person]:
    grids, offices = firm["inspectors"], firm["offices"]
    return [
        *(Inspector(port, grid.pop("cookies"), n, **grid) for n, grid in enumerate(grids)),
        *(Office(port, cookies, n) for n, cookies in enumerate(offices, start=len(grids))),
    ]


def work(people: list[Person], seconds: float) -> None:
    stop = Event()
    threads = [Thread(target=person.work_until, args=[stop]) for person in people]
    for thread in threads:
        thread.start()
    stop.wait(seconds)
    stop.set()
    for thread in threads:
        thread.join()


def lost_updates(people: list[Person], history: dict[tuple[int, str], int]) -> list[str]:
    """Saves that were answered as kept and are not in the history, or that went over what nobody had seen."""
    saves = [save for person in people if isinstance(person, Inspector) for save in person.saves]
    return [
        f"circuit {save.circuit}: “{save.text}”, typed at version {save.seen}"
        for save in saves
        if history.get((save.circuit, save.text)) != save.seen + 1
    ]


def report(people: list[Person], seconds: float, lost: list[str]) -> list[str]:
    took = defaultdict(list)
    for person in people:
        for what, answer_s in person.took:
            took[what].append(answer_s)
    errors = [error for person in people for error in person.errors]
    inspectors = [person for person in people if isinstance(person, Inspector)]
    return [
        f"{len(inspectors)} inspectors, {len(people) - len(inspectors)} offices, {seconds} s, "
        f"{os.cpu_count()} cores",
        *(_line(what, answers, seconds) for what, answers in sorted(took.items())),
        f"saves kept {sum(len(one.saves) for one in inspectors)}, conflicts answered "
        f"{sum(one.conflicts for one in inspectors)}, lost updates {len(lost)}, errors {len(errors)}",
        *lost[:10],
        *sorted(set(errors))[:10],
    ]


def _line(what: str, answers: list[float], seconds: float) -> str:
    cuts = quantiles(answers, n=100, method="inclusive") if len(answers) > 1 else answers * 99
    p50, p95, p99 = (f"{1000 * cuts[n - 1]:.0f}" for n in (50, 95, 99))
    return f"{what}: {len(answers)}, {len(answers) / seconds:.1f} a second, p50 {p50} p95 {p95} p99 {p99} ms"


if __name__ == "__main__":
    sys.exit(main())
