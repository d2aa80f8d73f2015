"""What a drawing shows, described once: for a page, for the print, and in words for whoever sees neither."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Bars:
    """Counts beside each other. title: what is counted. bars: the label of each and its count, in order."""

    title: str
    bars: tuple[tuple[str, int], ...]

    @property
    def in_words(self) -> str:
        told = "; ".join(f"{label}: {count}" for label, count in self.bars if count)
        return f"{self.title}. {told or 'none'}."


Figure = Bars
