"""Where the swatches of a sheet stand: one plan for sheets of lines and of pixels. Lengths are pixels."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["SHEET_WIDTH", "Grid", "grid_of"]

#: No sheet is wider, margins and heads included: a usual width of small screens (common practice, no source).
SHEET_WIDTH = 1280


@dataclass(frozen=True, slots=True)
class Grid:
    """Cells in rows, entry 0 at the top left.

    Attributes
    ----------
    n : int
        Cells.
    columns : int
    pitch : tuple of (int, int)
        From a cell to the next, across and down.
    swatch : tuple of (int, int)
        Width and height of the coloured part.
    is_named : bool
        Whether each swatch has its figures below it; else the rows and columns have heads.
    """

    n: int
    columns: int
    pitch: tuple[int, int]
    swatch: tuple[int, int]
    is_named: bool

    @property
    def rows(self) -> int:
        """Rows."""
        return -(-self.n // self.columns)

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of all cells."""
        return self.columns * self.pitch[0], self.rows * self.pitch[1]

    def at(self, entry: int) -> tuple[int, int]:
        """Left and top of a swatch."""
        return entry % self.columns * self.pitch[0], entry // self.columns * self.pitch[1]


def grid_of(n: int) -> Grid:
    """The grid for a number of entries: cells with figures up to 256, smaller ones with heads beyond."""
    if n <= 64:
        return Grid(n, min(8, n), (128, 74), (120, 40), True)
    if n <= 256:
        return Grid(n, 16, (77, 56), (72, 26), True)
    if n <= 1024:
        return Grid(n, 32, (26, 26), (24, 24), False)
    if n <= 4096:
        return Grid(n, 64, (18, 18), (17, 17), False)
    return Grid(n, 256, (4, 4), (4, 4), False)
