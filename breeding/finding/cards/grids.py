"""Sheets of labels, by their measures; a name is read at two metres where its card is large enough.

Letters are read at a distance of about 250 times their height, so that capitals of 8 mm are asked
for at two metres: 34 points in the type of the cards. An assumption from common practice.
"""

from dataclasses import dataclass
from typing import Literal

from breeding.words.language import tell

Paper = Literal["a4", "us-letter"]


@dataclass(frozen=True)
class Grid:
    """How many labels stand on a sheet, how large they are, and where the first one begins."""

    key: str
    paper: Paper
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float = 0.0
    top_mm: float = 0.0
    gap_mm: float = 0.0  # between two columns

    @property
    def on_a_sheet(self) -> int:
        return self.columns * self.rows

    @property
    def is_small(self) -> bool:
        """Whether the name stands beside the code, and is read at one metre."""
        return self.height_mm < 45

    @property
    def paper_words(self) -> str:
        return "A4" if self.paper == "a4" else tell("US Letter")


GRIDS = (
    Grid("a4-2x4", "a4", 2, 4, 105, 74, top_mm=0.5),
    Grid("a4-2x5", "a4", 2, 5, 105, 57, top_mm=6),
    Grid("a4-3x8", "a4", 3, 8, 70, 37, top_mm=0.5),
    Grid("letter-2x3", "us-letter", 2, 3, 101.6, 84.6, left_mm=4, top_mm=12.7, gap_mm=4.8),
    Grid("letter-2x5", "us-letter", 2, 5, 101.6, 50.8, left_mm=4, top_mm=12.7, gap_mm=4.8),
    Grid("letter-2x7", "us-letter", 2, 7, 101.6, 33.8, left_mm=4, top_mm=21, gap_mm=4.8),
)
BY_KEY = {grid.key: grid for grid in GRIDS}
