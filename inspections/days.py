"""How a day with the program goes for each of three people, as ``days.toml`` tells it."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

_FILE = Path(__file__).with_suffix(".toml")


@dataclass(frozen=True)
class Step:
    """One thing done that day. ``page``: a page of the site by name, with ``link`` as its words; ``picture``:
    a picture by name, with ``alt`` for whoever does not see it. Empty where there is none."""

    heading: str
    text: str
    page: str = ""
    link: str = ""
    picture: str = ""
    alt: str = ""

    @property
    def picture_file(self) -> str:
        return f"stillacross/pictures/{self.picture}.png"


@dataclass(frozen=True)
class Day:
    title: str
    lead: str
    steps: tuple[Step, ...]


@cache
def all_days() -> dict[str, Day]:
    """Each person's day, by who it is."""
    told = tomllib.loads(_FILE.read_text(encoding="utf-8"))
    return {
        who: Day(day["title"], day["lead"], tuple(Step(**step) for step in day["steps"]))
        for who, day in told.items()
    }
