"""What a drawing shows, described once: for a page, for the print, and in words for whoever sees neither."""

from dataclasses import dataclass
from typing import NamedTuple


@dataclass(frozen=True, slots=True)
class Bars:
    """Counts beside each other. title: what is counted. bars: the label of each and its count, in order."""

    title: str
    bars: tuple[tuple[str, int], ...]

    @property
    def in_words(self) -> str:
        told = "; ".join(f"{label}: {count}" for label, count in self.bars if count)
        return f"{self.title}. {told or 'none'}."


class Point(NamedTuple):
    """A value read in a year. text: as it is written, ``>200`` for one beyond the range."""

    value: float
    text: str
    year: int

    @classmethod
    def read(cls, text: str, year: int) -> "Point":
        """Of a text such as ``0.35``, ``>200`` or ``20 to 150``, at its lower end."""
        return cls(float(text.lstrip("<>").partition(" ")[0]), text, year)

    @property
    def is_exact(self) -> bool:
        return self.text.replace(".", "", 1).isdigit()


@dataclass(frozen=True, slots=True)
class Series:
    """name: what is followed. points: in order of years."""

    name: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Years:
    """Values that span decades, year by year."""

    title: str
    unit: str
    series: tuple[Series, ...]

    @property
    def in_words(self) -> str:
        told = (
            f"{one.name.capitalize()}: {', '.join(f'{point.year} {point.text}' for point in one.points)}"
            for one in self.series
            if one.points
        )
        return f"{self.title} ({self.unit}). {'; '.join(told) or 'None'}."


Figure = Bars | Years
