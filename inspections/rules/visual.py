"""What is looked at during an inspection, by area, in our own words, with the regulation number."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from inspections.rules.finding import Source
from inspections.rules.rule_file import EditionError, Part

FILE = files("inspections.rules") / "visual_items.toml"


@dataclass(frozen=True, slots=True)
class VisualItem:
    """One thing to look at. key: stable, for the record; source.clause: the regulation."""

    key: str
    text: str
    source: Source


@dataclass(frozen=True, slots=True)
class VisualArea:
    key: str
    name: str
    items: tuple[VisualItem, ...]


@cache
def areas() -> tuple[VisualArea, ...]:
    """All areas in the order one walks through them.

    >>> areas()[0].name
    'Intake equipment'
    """
    return read(FILE.read_text(encoding="utf-8"))


def read(text: str) -> tuple[VisualArea, ...]:
    """Areas from the text of their file. Raises EditionError for a missing part or a key used twice."""
    content = tomllib.loads(text)
    top = Part(content, "visual_items.toml", str(content.get("title", "")))
    found = tuple(
        VisualArea(area.text("key"), area.text("name"), tuple(_item(item) for item in area.parts("item")))
        for area in top.parts("area")
    )
    keys = [item.key for area in found for item in area.items]
    if twice := [key for key in keys if keys.count(key) > 1]:
        raise EditionError(f"visual_items.toml: the key “{twice[0]}” is used twice.")
    return found


def item(key: str) -> VisualItem:
    """The item of that key. Raises KeyError for a key that is not there."""
    return {item.key: item for area in areas() for item in area.items}[key]


def _item(part: Part) -> VisualItem:
    source = Source(part.title, part.text("regulation"), part.flag("from_memory"))
    return VisualItem(part.text("key"), part.text("text"), source)
