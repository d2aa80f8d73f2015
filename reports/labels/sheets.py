"""Label stock as data: what is on the sheet or roll, in millimetres. Drawing reads nothing else, so a new
size is a new entry. The sizes are common practice, no source; a printer's own offset is set at the printer.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Stock:
    """One size of label stock.

    left_mm, top_mm: from the edges of the page to the first label. pitch_x_mm, pitch_y_mm: from one label's
    edge to the next one's. A roll is a page of one label.
    """

    name: str
    page_width_mm: float
    page_height_mm: float
    columns: int
    rows: int
    label_width_mm: float
    label_height_mm: float
    left_mm: float = 0
    top_mm: float = 0
    pitch_x_mm: float = 0
    pitch_y_mm: float = 0

    def __post_init__(self) -> None:
        right = self.left_mm + (self.columns - 1) * self.pitch_x_mm + self.label_width_mm
        bottom = self.top_mm + (self.rows - 1) * self.pitch_y_mm + self.label_height_mm
        if right > self.page_width_mm + 0.01 or bottom > self.page_height_mm + 0.01:
            raise ValueError(f"Label stock “{self.name}”: its labels reach beyond the page.")

    @property
    def per_page(self) -> int:
        return self.columns * self.rows


def _single(width_mm: float, height_mm: float, name: str) -> Stock:
    return Stock(name, width_mm, height_mm, 1, 1, width_mm, height_mm)


STOCKS: dict[str, Stock] = {
    "single-100x50": _single(100, 50, "100 × 50 mm, single"),
    "roll-62x29": _single(62, 29, "62 × 29 mm, on a continuous roll"),
    "a4-2x4": Stock("A4 sheet, 2 × 4 of 99.1 × 67.7 mm", 210, 297, 2, 4, 99.1, 67.7, 4.65, 13.1, 101.6, 67.7),
    "a4-3x7": Stock("A4 sheet, 3 × 7 of 63.5 × 38.1 mm", 210, 297, 3, 7, 63.5, 38.1, 7.25, 15.15, 66.0, 38.1),
    "a4-3x8": Stock("A4 sheet, 3 × 8 of 70 × 36 mm", 210, 297, 3, 8, 70, 36, 0, 4.5, 70, 36),
}
